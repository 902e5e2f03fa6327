package postgres

import (
	"context"

	"bentside/domain/instrument"

	"github.com/google/uuid"
)

// SaveMeasurements replaces the counts and measurements of an instrument, at the version of the
// instrument that was read.
func (tx *Tx) SaveMeasurements(
	ctx context.Context, instrumentID uuid.UUID, list []instrument.Measurement, version int64,
) error {
	if err := tx.touchInstrument(ctx, instrumentID, version); err != nil {
		return err
	}
	if err := tx.exec(ctx, `DELETE FROM measurements WHERE instrument_id = $1`, instrumentID); err != nil || len(list) == 0 {
		return err
	}
	return tx.exec(ctx, `
		INSERT INTO measurements (workshop_id, instrument_id, driver, value, taken_by, why, recorded_at)
		SELECT $1, $2, m.driver, m.value, m.by, coalesce(m.why, ''), $4
		FROM jsonb_to_recordset($3::jsonb) AS m (driver text, value numeric, by text, why text)`,
		tx.workshop, instrumentID, list, tx.now)
}

// SaveScale replaces the measured strings of an instrument, at the version of the instrument that
// was read.
func (tx *Tx) SaveScale(
	ctx context.Context, instrumentID uuid.UUID, scale []instrument.ScaleNote, version int64,
) error {
	if err := tx.touchInstrument(ctx, instrumentID, version); err != nil {
		return err
	}
	if err := tx.exec(ctx, `DELETE FROM scale_notes WHERE instrument_id = $1`, instrumentID); err != nil || len(scale) == 0 {
		return err
	}
	return tx.exec(ctx, `
		INSERT INTO scale_notes (workshop_id, instrument_id, note, strings, wound, length_mm, core_mm,
		gauge, overall_mm, section, recorded_at)
		SELECT $1, $2, n.note, n.strings, coalesce(n.wound, false), n.length_mm, n.core_mm, n.gauge,
		n.overall_mm, coalesce(n.section, ''), $4
		FROM jsonb_to_recordset($3::jsonb) AS n (note integer, strings integer, wound boolean,
		length_mm numeric, core_mm numeric,
		                                         gauge numeric, overall_mm numeric, section text)`,
		tx.workshop, instrumentID, scale, tx.now)
}

// touchInstrument increments an instrument's version, at the version that was read.
func (tx *Tx) touchInstrument(ctx context.Context, instrumentID uuid.UUID, version int64) error {
	return tx.update(ctx, "instrument", `
		UPDATE instruments
		SET version = version + 1
		WHERE id = $1 AND version = $2`, instrumentID, version)
}
