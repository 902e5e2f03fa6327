package postgres

import (
	"cmp"
	"context"

	"bentside/domain"

	"github.com/jackc/pgx/v5"
)

// Workshop returns the reader's workshop with its settings.
func (r Reader) Workshop(ctx context.Context) (domain.Versioned[domain.Workshop], error) {
	return one(ctx, r, "workshop", scanWorkshop, `
		SELECT id, name, zone, country, currency, overhead_rate, tax_regime, tax_rate, target_share,
		       selling_share, selling_fixed, finance_rate, storage_per_day, days_on_floor, bidding_step,
		       coalesce(odds, to_jsonb(unknown_odds)),
		       work_financed, loss_limit, job_sd, group_sd, points_with_wear, sale_with_wear_as_found,
		       sale_with_wear_recondition, sale_with_wear_restore, sale_spread, confidence, room_to_move,
		       labour_rates, opening_hours, client_revenue,
		       (SELECT array_agg(key ORDER BY key) FROM confirmations WHERE workshop_id = workshops.id),
		       version, created_at
		FROM workshops
		WHERE id = $1`, r.workshop)
}

func scanWorkshop(row pgx.CollectableRow) (v domain.Versioned[domain.Workshop], err error) {
	w := &v.Value
	t, u := &w.Terms, &w.Terms.Uncertainty
	err = row.Scan(&w.ID, &w.Name, &w.Zone, &w.Country, &t.Currency, &t.OverheadRate, &t.TaxRegime,
		&t.TaxRate, &t.TargetShare, &t.SellingShare,
		&t.SellingFixed, &t.FinanceRate, &t.StoragePerDay, &t.DaysOnFloor, &t.BiddingStep, &t.UnknownOdds,
		&t.WorkFinanced, &t.LossLimit, &u.JobSD, &u.GroupSD, &u.PointsWithWear,
		&u.SaleWithWear.AsFound, &u.SaleWithWear.Recondition, &u.SaleWithWear.Restore, &u.SaleSpread,
		&u.Confidence, &u.RoomToMove, &t.LabourRates, &w.Open, &w.Revenue, &w.Confirmed, &v.Version,
		&v.CreatedAt)
	return v, err
}

// AddWorkshop adds the transaction's own workshop, with the head of its feed.
func (tx *Tx) AddWorkshop(ctx context.Context, w domain.Workshop) error {
	args := settingArgs(w)
	args["id"], args["currency"], args["created_at"] = w.ID, w.Terms.Currency, tx.now
	err := tx.exec(ctx, `
		INSERT INTO workshops (id, name, zone, country, currency, overhead_rate, tax_regime, tax_rate,
		target_share, selling_share, selling_fixed, finance_rate, storage_per_day, days_on_floor,
		bidding_step, unknown_odds, work_financed, loss_limit, labour_rates, opening_hours, created_at,
		odds, job_sd, group_sd, points_with_wear, sale_with_wear_as_found, sale_with_wear_recondition,
		sale_with_wear_restore, sale_spread, confidence, room_to_move, client_revenue)
		VALUES (@id, @name, @zone, @country, @currency, @overhead_rate, @tax_regime, @tax_rate,
		@target_share, @selling_share, @selling_fixed, @finance_rate, @storage_per_day, @days_on_floor,
		@bidding_step, @unknown_odds, @work_financed, @loss_limit, @labour_rates, @opening_hours,
		@created_at, @odds, @job_sd, @group_sd, @points_with_wear, @sale_with_wear_as_found,
		@sale_with_wear_recondition, @sale_with_wear_restore, @sale_spread, @confidence, @room_to_move,
		@client_revenue)`,
		args)
	if err != nil {
		return err
	}
	return tx.exec(ctx, `INSERT INTO heads (workshop_id) VALUES ($1)`, w.ID)
}

// SaveWorkshop replaces the settings, except for the currency, at the version that was read.
func (tx *Tx) SaveWorkshop(ctx context.Context, w domain.Workshop, version int64) error {
	args := settingArgs(w)
	args["id"], args["version"] = tx.workshop, version
	return tx.update(ctx, "workshop", `
		UPDATE workshops
		SET name = @name, zone = @zone, country = @country, overhead_rate = @overhead_rate,
		tax_regime = @tax_regime, tax_rate = @tax_rate, target_share = @target_share,
		selling_share = @selling_share, selling_fixed = @selling_fixed, finance_rate = @finance_rate,
		storage_per_day = @storage_per_day, days_on_floor = @days_on_floor,
		bidding_step = @bidding_step, unknown_odds = @unknown_odds, work_financed = @work_financed,
		loss_limit = @loss_limit, labour_rates = @labour_rates, opening_hours = @opening_hours,
		odds = @odds, job_sd = @job_sd, group_sd = @group_sd, points_with_wear = @points_with_wear,
		sale_with_wear_as_found = @sale_with_wear_as_found,
		sale_with_wear_recondition = @sale_with_wear_recondition,
		sale_with_wear_restore = @sale_with_wear_restore, sale_spread = @sale_spread,
		confidence = @confidence, room_to_move = @room_to_move, client_revenue = @client_revenue,
		version = version + 1
		WHERE id = @id AND version = @version`,
		args)
}

// settingArgs returns the columns that change with a workshop's settings.
func settingArgs(w domain.Workshop) pgx.StrictNamedArgs {
	t, u := w.Terms, w.Terms.Uncertainty
	return pgx.StrictNamedArgs{
		"name": w.Name, "zone": w.Zone, "country": w.Country, "overhead_rate": t.OverheadRate,
		"tax_regime": t.TaxRegime,
		"tax_rate":   t.TaxRate, "target_share": t.TargetShare, "selling_share": t.SellingShare,
		"selling_fixed": t.SellingFixed, "finance_rate": t.FinanceRate,
		"storage_per_day": t.StoragePerDay, "days_on_floor": t.DaysOnFloor,
		"bidding_step": t.BiddingStep, "unknown_odds": t.UnknownOdds.Default.NotSound(),
		"odds": t.UnknownOdds, "work_financed": t.WorkFinanced, "loss_limit": t.LossLimit,
		"job_sd": u.JobSD, "group_sd": u.GroupSD, "points_with_wear": u.PointsWithWear,
		"sale_with_wear_as_found":    u.SaleWithWear.AsFound,
		"sale_with_wear_recondition": u.SaleWithWear.Recondition,
		"sale_with_wear_restore":     u.SaleWithWear.Restore,
		"sale_spread":                u.SaleSpread, "confidence": u.Confidence, "room_to_move": u.RoomToMove,
		"labour_rates": t.LabourRates, "opening_hours": w.Open,
		"client_revenue": cmp.Or(w.Revenue, domain.OverTime),
	}
}
