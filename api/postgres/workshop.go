package postgres

import (
	"context"

	"bentside/domain"

	"github.com/jackc/pgx/v5"
)

// Workshop is the reader's workshop with its settings.
func (r Reader) Workshop(ctx context.Context) (domain.Versioned[domain.Workshop], error) {
	return one(ctx, r, "workshop", scanWorkshop, `
		SELECT id, name, zone, currency, overhead_rate, tax_regime, tax_rate, target_share, selling_share,
		       selling_fixed, finance_rate, storage_per_day, days_on_floor, bidding_step, coalesce(odds, to_jsonb(unknown_odds)),
		       work_financed, loss_limit, labour_rates, opening_hours, version, created_at
		FROM workshops
		WHERE id = $1`, r.workshop)
}

func scanWorkshop(row pgx.CollectableRow) (v domain.Versioned[domain.Workshop], err error) {
	w := &v.Value
	t := &w.Terms
	err = row.Scan(&w.ID, &w.Name, &w.Zone, &t.Currency, &t.OverheadRate, &t.TaxRegime, &t.TaxRate, &t.TargetShare, &t.SellingShare,
		&t.SellingFixed, &t.FinanceRate, &t.StoragePerDay, &t.DaysOnFloor, &t.BiddingStep, &t.UnknownOdds,
		&t.WorkFinanced, &t.LossLimit, &t.LabourRates, &w.Open, &v.Version, &v.CreatedAt)
	return v, err
}

// AddWorkshop makes the transaction's own workshop, with the head of its feed.
func (tx *Tx) AddWorkshop(ctx context.Context, w domain.Workshop) error {
	t := w.Terms
	err := tx.exec(ctx, `
		INSERT INTO workshops (id, name, zone, currency, overhead_rate, tax_regime, tax_rate, target_share, selling_share,
		                       selling_fixed, finance_rate, storage_per_day, days_on_floor, bidding_step, unknown_odds,
		                       work_financed, loss_limit, labour_rates, opening_hours, created_at, odds)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21)`,
		w.ID, w.Name, w.Zone, t.Currency, t.OverheadRate, t.TaxRegime, t.TaxRate, t.TargetShare, t.SellingShare,
		t.SellingFixed, t.FinanceRate, t.StoragePerDay, t.DaysOnFloor, t.BiddingStep, t.UnknownOdds.Default.NotSound(),
		t.WorkFinanced, t.LossLimit, t.LabourRates, w.Open, tx.now, t.UnknownOdds)
	if err != nil {
		return err
	}
	return tx.exec(ctx, `INSERT INTO heads (workshop_id) VALUES ($1)`, w.ID)
}

// SaveWorkshop replaces the settings; the currency stays what it was.
func (tx *Tx) SaveWorkshop(ctx context.Context, w domain.Workshop, version int64) error {
	t := w.Terms
	return tx.update(ctx, "workshop", `
		UPDATE workshops
		SET name = $2, zone = $3, overhead_rate = $4, tax_regime = $5, tax_rate = $6, target_share = $7, selling_share = $8,
		    selling_fixed = $9, finance_rate = $10, storage_per_day = $11, days_on_floor = $12, bidding_step = $13,
		    unknown_odds = $14, work_financed = $15, loss_limit = $16, labour_rates = $17, opening_hours = $18, odds = $20, version = version + 1
		WHERE id = $1 AND version = $19`,
		tx.workshop, w.Name, w.Zone, t.OverheadRate, t.TaxRegime, t.TaxRate, t.TargetShare, t.SellingShare,
		t.SellingFixed, t.FinanceRate, t.StoragePerDay, t.DaysOnFloor, t.BiddingStep,
		t.UnknownOdds.Default.NotSound(), t.WorkFinanced, t.LossLimit, t.LabourRates, w.Open, version, t.UnknownOdds)
}
