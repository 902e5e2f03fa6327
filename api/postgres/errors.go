package postgres

import (
	"errors"

	"bentside/domain"

	"github.com/jackc/pgx/v5/pgconn"
)

// constraintFaults maps a violated constraint to what it means to the user. Violating any other
// constraint is a bug of ours and stays a bare error.
var constraintFaults = map[string]domain.Fault{
	"instruments_stock_number_key": {
		Kind: domain.Conflict, Detail: "another instrument has this stock number",
	},
	"overhead_costs_reversed_key": {
		Kind: domain.Conflict, Detail: "it has been reversed already",
	},
	"instruments_pkey": {
		Kind: domain.Conflict, Detail: "an instrument with this id already exists",
	},
	"surveys_pkey": {
		Kind: domain.Conflict, Detail: "a survey with this id already exists",
	},
	"findings_pkey": {
		Kind: domain.Conflict, Detail: "a finding with this id already exists",
	},
	"scopes_pkey": {Kind: domain.Conflict, Detail: "a scope with this id already exists"},
	"offers_pkey": {
		Kind: domain.Conflict, Detail: "a step of a negotiation with this id already exists",
	},
	"offers_end_key": {
		Kind: domain.Conflict, Detail: "the negotiation about this bid is over",
	},
	"offers_acquired_key": {
		Kind: domain.Conflict, Detail: "the instrument has already come to us",
	},
	"bids_pkey": {Kind: domain.Conflict, Detail: "a bid with this id already exists"},
	"jobs_pkey": {Kind: domain.Conflict, Detail: "a job with this id already exists"},
	"absences_pkey": {
		Kind: domain.Conflict, Detail: "an absence with this id already exists",
	},
	"people_pkey": {
		Kind: domain.Conflict, Detail: "a person with this id already exists",
	},
	"people_user_key": {
		Kind: domain.Conflict, Detail: "another person of the crew is linked to this user",
		Fields: []domain.FieldFault{{
			Pointer: "#/user", Detail: "must not be that of another person of the crew",
		}},
	},
	"people_user_fkey": {
		Kind: domain.Invalid, Detail: "the user is unknown",
		Fields: []domain.FieldFault{{
			Pointer: "#/user", Detail: "must be a member of the workshop",
		}},
	},
	"stations_pkey": {
		Kind: domain.Conflict, Detail: "a station with this id already exists",
	},
	"stations_name_key": {
		Kind: domain.Conflict, Detail: "another station has this name",
	},
	"jobs_place_key": {
		Kind: domain.Unavailable, Detail: "the queue is being changed; try again",
	},
	"task_progress_pkey": {
		Kind: domain.Conflict, Detail: "an entry with this id already exists",
	},
	"task_progress_person_fkey": {Kind: domain.NotFound, Detail: "no person found with this id"},
	"time_entries_pkey": {
		Kind: domain.Conflict, Detail: "a time entry with this id already exists",
	},
	"suspensions_open_key": {Kind: domain.Conflict, Detail: "it is already suspended"},
	"clearances_pkey": {
		Kind: domain.Conflict, Detail: "a clearance with this id already exists",
	},
	"spending_limits_party_fkey": {Kind: domain.NotFound, Detail: "no party found with this id"},
	"job_consents_party_fkey": {
		Kind: domain.Invalid, Detail: "the party is unknown",
		Fields: []domain.FieldFault{
			{Pointer: "#/consent/party", Detail: "no party found with this id"},
		},
	},
	"proposal_decisions_party_fkey": {Kind: domain.NotFound, Detail: "no party found with this id"},
	"promises_party_fkey":           {Kind: domain.NotFound, Detail: "no party found with this id"},
	"quotations_party_fkey":         {Kind: domain.NotFound, Detail: "no party found with this id"},
	"promise_outcomes_pkey": {
		Kind: domain.Conflict, Detail: "the outcome of this promise is already recorded",
	},
	"quotation_answers_pkey": {
		Kind: domain.Conflict, Detail: "this quotation has already been answered",
	},
	"jobs_scope_key": {
		Kind: domain.Conflict, Detail: "this scope has already been accepted as a job",
	},
	"catalogue_revisions_pkey": {
		Kind: domain.Stale, Detail: "the catalogue has changed since it was read; read it again",
	},
	"parties_pkey": {Kind: domain.Conflict, Detail: "a party with this id already exists"},
	"instruments_party_fkey": {
		Kind: domain.Invalid, Detail: "the party is unknown",
		Fields: []domain.FieldFault{{Pointer: "#/party", Detail: "no party found with this id"}},
	},
	"kits_pkey":     {Kind: domain.Conflict, Detail: "a kit with this id already exists"},
	"kits_name_key": {Kind: domain.Conflict, Detail: "another kit has this name"},
	"part_classes_pkey": {
		Kind: domain.Conflict, Detail: "a class of parts with this id already exists",
	},
	"part_classes_name_key": {Kind: domain.Conflict, Detail: "another class has this name"},
	"parts_pkey":            {Kind: domain.Conflict, Detail: "a part with this id already exists"},
	"parts_code_key":        {Kind: domain.Conflict, Detail: "another part has this code"},
	"parts_class_fkey": {
		Kind: domain.Invalid, Detail: "the class is unknown",
		Fields: []domain.FieldFault{
			{Pointer: "#/class", Detail: "no class of parts found with this id"},
		},
	},
	"parts_supplier_fkey": {
		Kind: domain.Invalid, Detail: "the supplier is unknown",
		Fields: []domain.FieldFault{{Pointer: "#/supplier", Detail: "no party found with this id"}},
	},
	"stock_moves_pkey": {Kind: domain.Conflict, Detail: "a move with this id already exists"},
	"stock_moves_supplier_fkey": {
		Kind: domain.Invalid, Detail: "the supplier is unknown",
		Fields: []domain.FieldFault{{Pointer: "#/supplier", Detail: "no party found with this id"}},
	},
	"orders_pkey": {Kind: domain.Conflict, Detail: "an order with this id already exists"},
	"orders_supplier_fkey": {
		Kind: domain.Invalid, Detail: "the supplier is unknown",
		Fields: []domain.FieldFault{{Pointer: "#/supplier", Detail: "no party found with this id"}},
	},
	"deliveries_reference_key": {
		Kind: domain.Conflict, Detail: "a delivery note of this supplier with this reference is recorded",
		Fields: []domain.FieldFault{{
			Pointer: "#/reference", Detail: "must not be that of another delivery of the supplier",
		}},
	},
	"supplier_bills_supplier_fkey": {
		Kind: domain.Invalid, Detail: "the supplier is unknown",
		Fields: []domain.FieldFault{{Pointer: "#/supplier", Detail: "no party found with this id"}},
	},
	"supplier_bills_reference_key": {
		Kind: domain.Conflict, Detail: "a bill of this supplier with this reference is recorded",
		Fields: []domain.FieldFault{{
			Pointer: "#/reference", Detail: "must not be that of another bill or credit note of the supplier",
		}},
	},
	"surveys_instrument_fkey": {Kind: domain.NotFound, Detail: "no instrument found with this id"},
	"findings_survey_fkey":    {Kind: domain.NotFound, Detail: "no survey found with this id"},
}

// translate turns database errors that the user can act on into Faults. Other errors pass through.
func translate(err error) error {
	var pg *pgconn.PgError
	if !errors.As(err, &pg) {
		return outOfReach(err)
	}
	if f, ok := constraintFaults[pg.ConstraintName]; ok {
		return &f
	}
	switch pg.Code {
	case "55P03", "57014": // lock_not_available, query_canceled (statement timeout)
		return domain.Refuse(domain.Unavailable, "the database is busy; try again")
	}
	return outOfReach(err)
}
