package postgres

import (
	"context"

	"bentside/domain"
	"bentside/domain/instrument"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// instrumentColumns are the columns of a list, which leaves measurements out.
const instrumentColumns = instrumentFields + `, NULL::jsonb, NULL::jsonb
	FROM instruments`

const instrumentFields = `
	SELECT id, kind, owner, maker, model, serial, coalesce(stock_number, ''), coalesce(year, 0),
	size_mm, notes,
	       last_single, last_pair, covered, covering, finish, colour, decorated, action, party_id,
	       country, state, version, created_at`

func scanInstrument(row pgx.CollectableRow) (v domain.Versioned[instrument.Instrument], err error) {
	i := &v.Value
	var single, pair, covered *int
	var party *uuid.UUID
	err = row.Scan(&i.ID, &i.Kind, &i.Owner, &i.Maker, &i.Model, &i.Serial, &i.StockNumber, &i.Year,
		&i.SizeMM, &i.Notes,
		&single, &pair, &covered, &i.Covering, &i.Finish, &i.Colour, &i.Decorated, &i.Action, &party,
		&i.Country, &i.State, &v.Version, &v.CreatedAt,
		&i.Measured, &i.Scale)
	if err == nil && single != nil {
		i.Stringing = &instrument.Stringing{LastSingle: *single, LastPair: *pair, Covered: *covered}
	}
	if party != nil {
		i.Party = *party
	}
	return v, err
}

// Instrument returns one instrument with its measurements and scale.
func (r Reader) Instrument(ctx context.Context, id uuid.UUID) (
	domain.Versioned[instrument.Instrument], error,
) {
	return one(ctx, r, "instrument", scanInstrument, oneInstrument, r.workshop, id)
}

const oneInstrument = instrumentFields + `,
	       (SELECT jsonb_agg(jsonb_build_object('driver', m.driver, 'value', m.value, 'by', m.taken_by,
	       'why', m.why) ORDER BY m.driver)
	        FROM measurements m
	        WHERE m.workshop_id = i.workshop_id AND m.instrument_id = i.id),
	       (SELECT jsonb_agg(jsonb_build_object('note', n.note, 'strings', n.strings, 'wound', n.wound,
	       'length_mm', n.length_mm,
	                         'core_mm', n.core_mm, 'gauge', n.gauge, 'overall_mm', n.overall_mm,
	                         'section', n.section) ORDER BY n.note)
	        FROM scale_notes n
	        WHERE n.workshop_id = i.workshop_id AND n.instrument_id = i.id)
	FROM instruments i
	WHERE workshop_id = $1 AND id = $2`

// AddInstrument adds an instrument.
func (tx *Tx) AddInstrument(ctx context.Context, i instrument.Instrument) error {
	single, pair, covered := stringingColumns(i)
	return tx.exec(ctx, `
		INSERT INTO instruments (workshop_id, id, kind, owner, maker, model, serial, stock_number, year,
		size_mm, notes, last_single, last_pair, covered, covering, finish, colour, decorated, action,
		party_id, country, state, created_at)
		VALUES (@workshop_id, @id, @kind, @owner, @maker, @model, @serial, nullif(@stock_number, ''),
		nullif(@year, 0), @size_mm, @notes, @last_single, @last_pair, @covered, @covering, @finish,
		@colour, @decorated, @action, @party_id, @country, @state, @created_at)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "id": i.ID, "kind": i.Kind, "owner": i.Owner, "maker": i.Maker,
			"model": i.Model, "serial": i.Serial, "stock_number": i.StockNumber, "year": i.Year,
			"size_mm": i.SizeMM, "notes": i.Notes, "last_single": single, "last_pair": pair,
			"covered": covered, "covering": i.Covering, "finish": i.Finish, "colour": i.Colour,
			"decorated": i.Decorated, "action": i.Action, "party_id": orNull(i.Party), "country": i.Country,
			"state": i.State, "created_at": tx.now,
		})
}

// SaveInstrument replaces an instrument, at the version that was read.
func (tx *Tx) SaveInstrument(ctx context.Context, i instrument.Instrument, version int64) error {
	single, pair, covered := stringingColumns(i)
	return tx.update(ctx, "instrument", `
		UPDATE instruments
		SET kind = @kind, owner = @owner, maker = @maker, model = @model, serial = @serial,
		stock_number = nullif(@stock_number, ''), year = nullif(@year, 0), size_mm = @size_mm,
		notes = @notes, last_single = @last_single, last_pair = @last_pair, covered = @covered,
		covering = @covering, finish = @finish, colour = @colour, decorated = @decorated,
		action = @action, party_id = @party_id, country = @country, state = @state, version = version + 1
		WHERE id = @id AND version = @version`,
		pgx.StrictNamedArgs{
			"id": i.ID, "kind": i.Kind, "owner": i.Owner, "maker": i.Maker, "model": i.Model,
			"serial": i.Serial, "stock_number": i.StockNumber, "year": i.Year, "size_mm": i.SizeMM,
			"notes": i.Notes, "last_single": single, "last_pair": pair, "covered": covered,
			"covering": i.Covering, "finish": i.Finish, "colour": i.Colour, "decorated": i.Decorated,
			"action": i.Action, "party_id": orNull(i.Party), "country": i.Country, "state": i.State,
			"version": version,
		})
}

func stringingColumns(i instrument.Instrument) (single, pair, covered *int) {
	if s := i.Stringing; s != nil {
		return &s.LastSingle, &s.LastPair, &s.Covered
	}
	return nil, nil, nil
}

// orNull returns nil for the nil UUID, which is stored as NULL.
func orNull(id uuid.UUID) *uuid.UUID {
	if id == uuid.Nil {
		return nil
	}
	return &id
}

// MoveInstrument sets the state of an instrument. The version stays, because the record that people
// edit hasn't changed.
func (tx *Tx) MoveInstrument(ctx context.Context, id uuid.UUID, to instrument.State) error {
	return tx.exec(ctx, `UPDATE instruments SET state = $2 WHERE id = $1`, id, to)
}

// InstrumentsByID returns several instruments.
func (r Reader) InstrumentsByID(ctx context.Context, ids []uuid.UUID) (
	map[uuid.UUID]instrument.Instrument, error,
) {
	list, err := many(ctx, r, scanInstrument, instrumentColumns+` WHERE workshop_id = $1 AND id = ANY($2)`, r.workshop, ids)
	found := make(map[uuid.UUID]instrument.Instrument, len(list))
	for _, i := range list {
		found[i.Value.ID] = i.Value
	}
	return found, err
}
