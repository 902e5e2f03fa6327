package postgres

import (
	"context"

	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// instrumentColumns are an instrument's without what was measured on it, which
// lists do not show.
const instrumentColumns = instrumentFields + `, NULL::jsonb, NULL::jsonb
	FROM instruments`

const instrumentFields = `
	SELECT id, kind, owner, maker, model, serial, coalesce(stock_number, ''), coalesce(year, 0), size_mm, notes,
	       last_single, last_pair, covered, covering, finish, colour, decorated, action, party_id, state, version, created_at`

func scanInstrument(row pgx.CollectableRow) (v domain.Versioned[domain.Instrument], err error) {
	i := &v.Value
	var single, pair, covered *int
	var party *uuid.UUID
	err = row.Scan(&i.ID, &i.Kind, &i.Owner, &i.Maker, &i.Model, &i.Serial, &i.StockNumber, &i.Year, &i.SizeMM, &i.Notes,
		&single, &pair, &covered, &i.Covering, &i.Finish, &i.Colour, &i.Decorated, &i.Action, &party, &i.State, &v.Version, &v.CreatedAt,
		&i.Measured, &i.Scale)
	if err == nil && single != nil {
		i.Stringing = &domain.Stringing{LastSingle: *single, LastPair: *pair, Covered: *covered}
	}
	if party != nil {
		i.Party = *party
	}
	return v, err
}

// Instrument is one instrument with what was measured on it.
func (r Reader) Instrument(ctx context.Context, id uuid.UUID) (domain.Versioned[domain.Instrument], error) {
	return one(ctx, r, "instrument", scanInstrument, oneInstrument, r.workshop, id)
}

const oneInstrument = instrumentFields + `,
	       (SELECT jsonb_agg(jsonb_build_object('driver', m.driver, 'value', m.value, 'by', m.taken_by, 'why', m.why) ORDER BY m.driver)
	        FROM measurements m
	        WHERE m.workshop_id = i.workshop_id AND m.instrument_id = i.id),
	       (SELECT jsonb_agg(jsonb_build_object('note', n.note, 'strings', n.strings, 'wound', n.wound, 'length_mm', n.length_mm,
	                         'core_mm', n.core_mm, 'gauge', n.gauge, 'overall_mm', n.overall_mm, 'section', n.section) ORDER BY n.note)
	        FROM scale_notes n
	        WHERE n.workshop_id = i.workshop_id AND n.instrument_id = i.id)
	FROM instruments i
	WHERE workshop_id = $1 AND id = $2`

// AddInstrument adds an instrument.
func (tx *Tx) AddInstrument(ctx context.Context, i domain.Instrument) error {
	single, pair, covered := stringingColumns(i)
	return tx.exec(ctx, `
		INSERT INTO instruments (workshop_id, id, kind, owner, maker, model, serial, stock_number, year, size_mm, notes,
		                         last_single, last_pair, covered, covering, finish, colour, decorated, action, party_id, state, created_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, nullif($8, ''), nullif($9, 0), $10, $11, $12, $13, $14, $15, $16, $17, $18, $19,
		        $20, $21, $22)`,
		tx.workshop, i.ID, i.Kind, i.Owner, i.Maker, i.Model, i.Serial, i.StockNumber, i.Year, i.SizeMM, i.Notes,
		single, pair, covered, i.Covering, i.Finish, i.Colour, i.Decorated, i.Action, orNull(i.Party), i.State, tx.now)
}

// SaveInstrument replaces an instrument at the version that was read.
func (tx *Tx) SaveInstrument(ctx context.Context, i domain.Instrument, version int64) error {
	single, pair, covered := stringingColumns(i)
	return tx.update(ctx, "instrument", `
		UPDATE instruments
		SET kind = $2, owner = $3, maker = $4, model = $5, serial = $6, stock_number = nullif($7, ''), year = nullif($8, 0),
		    size_mm = $9, notes = $10, last_single = $11, last_pair = $12, covered = $13, covering = $14, finish = $15,
		    colour = $16, decorated = $17, action = $18, party_id = $19, state = $20, version = version + 1
		WHERE id = $1 AND version = $21`,
		i.ID, i.Kind, i.Owner, i.Maker, i.Model, i.Serial, i.StockNumber, i.Year,
		i.SizeMM, i.Notes, single, pair, covered, i.Covering, i.Finish,
		i.Colour, i.Decorated, i.Action, orNull(i.Party), i.State, version)
}

func stringingColumns(i domain.Instrument) (single, pair, covered *int) {
	if s := i.Stringing; s != nil {
		return &s.LastSingle, &s.LastPair, &s.Covered
	}
	return nil, nil, nil
}

// orNull is how an id that may be missing is stored.
func orNull(id uuid.UUID) *uuid.UUID {
	if id == uuid.Nil {
		return nil
	}
	return &id
}

// MoveInstrument records where an instrument now stands with us. It is no
// change of the instrument's record, so its version stays.
func (tx *Tx) MoveInstrument(ctx context.Context, id uuid.UUID, to domain.State) error {
	return tx.exec(ctx, `UPDATE instruments SET state = $2 WHERE id = $1`, id, to)
}

// InstrumentsByID are several instruments.
func (r Reader) InstrumentsByID(ctx context.Context, ids []uuid.UUID) (map[uuid.UUID]domain.Instrument, error) {
	list, err := many(ctx, r, scanInstrument, instrumentColumns+` WHERE workshop_id = $1 AND id = ANY($2)`, r.workshop, ids)
	found := make(map[uuid.UUID]domain.Instrument, len(list))
	for _, i := range list {
		found[i.Value.ID] = i.Value
	}
	return found, err
}
