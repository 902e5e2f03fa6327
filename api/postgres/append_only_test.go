package postgres_test

import (
	"testing"

	"bentside/api/postgres/pgtest"

	"github.com/jackc/pgx/v5"
)

// keptForEver lists the tables whose rows are never changed or removed.
var keptForEver = []string{
	"arrivals", "bids", "book_closings", "catalogue_revisions", "clearances",
	"client_invoices", "confirmations",
	"consignment_ends", "consignments", "corrected_rates", "cost_documents", "cost_lines",
	"cost_rates", "counter_return_lines", "counter_returns", "counter_sale_lines",
	"counter_sales", "deliveries", "deposit_moves", "documents", "events", "hand_overs",
	"job_consents", "job_settlements", "joins", "losses",
	"offers", "opening_balances", "opening_files", "opening_reversals", "opening_rows", "openings",
	"order_cancellations", "order_days", "overhead_costs", "overhead_dispositions", "part_exchanges",
	"plans",
	"promise_outcomes", "promises",
	"proposal_decisions", "proposals", "quotation_answers", "quotation_options",
	"quotation_replacements",
	"quotations", "rate_corrections", "recovered_parts", "sale_returns", "sales",
	"sending_days", "sending_ends", "showroom_prices", "spending_limits",
	"stock_entries",
	"stock_moves",
	"supplier_adjustments", "supplier_bill_lines", "supplier_bill_shared", "supplier_bill_shares",
	"supplier_bills", "supplier_payments", "supplier_returns", "task_progress",
	"time_approvals", "time_approved", "time_entries", "valuations",
}

func TestWhatIsKeptForEverTheServiceHasNoRightToChange(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	service := connect(t, db.Service)
	for _, table := range keptForEver {
		for _, sql := range changesOf(table) {
			forWorkshop(t, service, workshopA, func(tx pgx.Tx) {
				if _, err := tx.Exec(t.Context(), sql); !refusedWith(
					err, "42501", "permission denied for table "+table,
				) {
					t.Errorf("%s: got %v, want permission denied", sql, err)
				}
			})
		}
	}
}

func TestWhatIsKeptForEverNotEvenTheOwnerChanges(t *testing.T) {
	t.Parallel()
	owner := asOwner(t, pgtest.New(t))
	fillAll(t, owner)
	for _, table := range keptForEver {
		for _, sql := range changesOf(table) {
			if _, err := owner.Exec(t.Context(), sql); !refusedWith(
				err, "23001", "rows of "+table+" are never changed or removed",
			) {
				t.Errorf("%s: got %v, want the trigger's refusal", sql, err)
			}
		}
		if n := countRows(t, owner, table); n != 2 {
			t.Errorf("%s: %d rows are left, want 2", table, n)
		}
	}
}

// Two entries that balance, slipped into an old move, would pass every sum.
func TestAMoveOfStockGetsNoEntriesLater(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	service := connect(t, db.Service)
	forWorkshop(t, service, workshopA, func(tx pgx.Tx) {
		_, err := tx.Exec(t.Context(), `
			INSERT INTO stock_entries (workshop_id, move_id, line, layer_id, out_on, quantity, value)
			VALUES ($1, $2, 2, $2, NULL, 1, 100)`, workshopA, rowID(73))
		if !refusedWith(err, "23001", "a move of stock gets no more entries than it was recorded with") {
			t.Errorf("got %v, want a refusal", err)
		}
	})
}

// changesOf returns the ways to change or remove rows of a table. TRUNCATE cascades; otherwise a
// foreign key would refuse it before the trigger could.
func changesOf(table string) []string {
	return []string{
		`UPDATE ` + table + ` SET workshop_id = workshop_id`,
		`DELETE FROM ` + table,
		`TRUNCATE ` + table + ` CASCADE`,
	}
}

func TestTheServiceCanEmptyNoTable(t *testing.T) {
	t.Parallel()
	c := connect(t, pgtest.New(t).Owner)
	got := list[string](t, c, `
		SELECT tablename || ' ' || privilege
		FROM pg_tables, unnest(ARRAY['TRUNCATE', 'REFERENCES', 'TRIGGER']) AS privilege
		WHERE schemaname = 'public' AND has_table_privilege('bentside_service', format('%I.%I',
		schemaname, tablename), privilege)`)
	if len(got) != 0 {
		t.Errorf("the service has rights that row-level security does not cover: %v", got)
	}
}
