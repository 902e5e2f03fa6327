package postgres

import (
	"errors"

	"bentside/domain"

	"github.com/jackc/pgx/v5/pgconn"
)

// constraintFaults says in the workshop's words what a broken constraint
// means. A constraint without a row is a fault of ours and stays a bare error.
var constraintFaults = map[string]domain.Fault{
	"instruments_stock_number_key":  {Kind: domain.Conflict, Detail: "another instrument has that stock number"},
	"instruments_pkey":              {Kind: domain.Conflict, Detail: "an instrument with that id exists"},
	"surveys_pkey":                  {Kind: domain.Conflict, Detail: "a survey with that id exists"},
	"findings_pkey":                 {Kind: domain.Conflict, Detail: "a finding with that id exists"},
	"scopes_pkey":                   {Kind: domain.Conflict, Detail: "a scope with that id exists"},
	"offers_pkey":                   {Kind: domain.Conflict, Detail: "a step of a talk with that id exists"},
	"offers_end_key":                {Kind: domain.Conflict, Detail: "the talk about that bid is over"},
	"offers_acquired_key":           {Kind: domain.Conflict, Detail: "the instrument has come to us already"},
	"bids_pkey":                     {Kind: domain.Conflict, Detail: "a bid with that id exists"},
	"jobs_pkey":                     {Kind: domain.Conflict, Detail: "a job with that id exists"},
	"absences_pkey":                 {Kind: domain.Conflict, Detail: "an absence with that id exists"},
	"people_pkey":                   {Kind: domain.Conflict, Detail: "a person with that id exists"},
	"stations_pkey":                 {Kind: domain.Conflict, Detail: "a station with that id exists"},
	"stations_name_key":             {Kind: domain.Conflict, Detail: "another station has that name"},
	"jobs_place_key":                {Kind: domain.Unavailable, Detail: "the queue is being changed; try again"},
	"task_progress_pkey":            {Kind: domain.Conflict, Detail: "an entry with that id exists"},
	"task_progress_person_fkey":     {Kind: domain.NotFound, Detail: "there is no such person"},
	"suspensions_open_key":          {Kind: domain.Conflict, Detail: "it is suspended already"},
	"spending_limits_party_fkey":    {Kind: domain.NotFound, Detail: "there is no such party"},
	"proposal_decisions_party_fkey": {Kind: domain.NotFound, Detail: "there is no such party"},
	"promises_party_fkey":           {Kind: domain.NotFound, Detail: "there is no such party"},
	"quotations_party_fkey":         {Kind: domain.NotFound, Detail: "there is no such party"},
	"promise_outcomes_pkey":         {Kind: domain.Conflict, Detail: "what became of the promise is recorded already"},
	"quotation_answers_pkey":        {Kind: domain.Conflict, Detail: "the quotation was answered already"},
	"jobs_scope_key":                {Kind: domain.Conflict, Detail: "that scope is under way already"},
	"catalogue_revisions_pkey":      {Kind: domain.Stale, Detail: "the catalogue has changed since it was read; read it again"},
	"parties_pkey":                  {Kind: domain.Conflict, Detail: "a party with that id exists"},
	"instruments_party_fkey": {
		Kind: domain.Invalid, Detail: "the party is not known",
		Fields: []domain.FieldFault{{Pointer: "#/party", Detail: "there is no such party"}},
	},
	"surveys_instrument_fkey": {Kind: domain.NotFound, Detail: "there is no such instrument"},
	"findings_survey_fkey":    {Kind: domain.NotFound, Detail: "there is no such survey"},
}

// translate turns what the database says into a Fault where the user can do
// something about it; all else passes through.
func translate(err error) error {
	var pg *pgconn.PgError
	if !errors.As(err, &pg) {
		return err
	}
	if f, ok := constraintFaults[pg.ConstraintName]; ok {
		return &f
	}
	switch pg.Code {
	case "55P03", "57014": // lock_not_available, query_canceled (statement timeout)
		return domain.Refuse(domain.Unavailable, "the database is busy; try again")
	case "57P01", "57P02", "57P03", "53300": // shutting down, crashed, starting up, too many connections
		return domain.Refuse(domain.Unavailable, "the database is not available; try again")
	}
	return err
}
