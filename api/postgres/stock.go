package postgres

import (
	"context"
	"errors"
	"time"

	"bentside/domain"
	"bentside/domain/stock"
	"bentside/pricing/money"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"
)

// StockedPart is a part with what is in stock of it.
type StockedPart struct {
	domain.Versioned[stock.Part]
	Method   valuation.Method
	Moves    int64 // how many there have been
	Quantity decimal.Decimal
	Value    money.Amount
}

const stockedParts = `
	SELECT ` + partColumns + `, c.method, h.moves, h.quantity, h.value, w.currency
	FROM parts p
	JOIN part_classes c ON c.workshop_id = p.workshop_id AND c.id = p.class_id
	JOIN holdings h ON h.workshop_id = p.workshop_id AND h.part_id = p.id
	JOIN workshops w ON w.id = p.workshop_id`

func scanStockedPart(row pgx.CollectableRow) (s StockedPart, err error) {
	var value int64
	var currency string
	err = row.Scan(append(
		partTargets(&s.Versioned), &s.Method, &s.Moves, &s.Quantity, &value, &currency,
	)...)
	if err != nil {
		return s, err
	}
	s.Value, err = amountOf(value, currency)
	return s, err
}

// amountOf converts stored minor units to an amount.
func amountOf(minor int64, currency string) (money.Amount, error) {
	c, err := money.ParseCurrency(currency)
	return money.FromMinor(minor, c), err
}

// Stock returns a page of all parts with what is in stock of each, by code.
func (r Reader) Stock(ctx context.Context, p Page) ([]StockedPart, error) {
	q := &query{sql: stockedParts, args: []any{uuid.Nil}}
	q.where("p.workshop_id = " + q.arg(r.workshop))
	q.page(byCode, p)
	return many(ctx, r, scanStockedPart, q.sql, q.args...)
}

// StockServing returns the parts that serve materials of the catalogue and some others, by code,
// with what is in stock of each.
func (r Reader) StockServing(ctx context.Context, others []uuid.UUID) ([]StockedPart, error) {
	return many(ctx, r, scanStockedPart, stockedParts+`
		WHERE p.workshop_id = $2 AND (p.serves <> '[]' OR p.id = ANY($3::uuid[]))
		ORDER BY p.code_key`, uuid.Nil, r.workshop, others)
}

// LockStock locks what is in stock of a part until the transaction ends and returns it. It comes
// before any job.
func (tx *Tx) LockStock(ctx context.Context, part uuid.UUID) (StockedPart, error) {
	tx.behindBooks = true
	err := tx.exec(ctx, `
		SELECT FROM holdings WHERE workshop_id = $1 AND part_id = $2 FOR UPDATE`, tx.workshop, part)
	if err != nil {
		return StockedPart{}, err
	}
	return one(ctx, tx.Reader, "part", scanStockedPart, stockedParts+`
		WHERE p.workshop_id = $2 AND p.id = $3
		FOR SHARE OF c`, uuid.Nil, tx.workshop, part)
}

// StockLayers returns the layers of which something is left, oldest first.
func (r Reader) StockLayers(ctx context.Context, s StockedPart) ([]valuation.Layer, error) {
	return many(ctx, r, func(row pgx.CollectableRow) (l valuation.Layer, err error) {
		var value int64
		err = row.Scan(&l.ID, &l.Quantity, &value)
		l.Value = money.FromMinor(value, s.Value.Currency())
		return l, err
	}, `
		SELECT id, quantity, value
		FROM stock_layers
		WHERE workshop_id = $1 AND part_id = $2 AND quantity > 0
		ORDER BY received_on, number`, r.workshop, s.Versioned.Value.ID)
}

// HeldSince returns what was held of a part at the end of a day, and the least at the end of that
// day or a later one.
func (r Reader) HeldSince(
	ctx context.Context, s StockedPart, day domain.Date,
) (then, least decimal.Decimal, err error) {
	type later struct{ All, Most decimal.Decimal }
	l, err := one(ctx, r, "part", pgx.RowToStructByPos[later], `
		SELECT coalesce(sum(moved), 0), greatest(coalesce(max(since), 0), 0)
		FROM (
		  SELECT sum(quantity) AS moved, sum(sum(quantity)) OVER (ORDER BY moved_on DESC) AS since
		  FROM stock_moves
		  WHERE workshop_id = $1 AND part_id = $2 AND moved_on > $3
		  GROUP BY moved_on
		) AS later`, r.workshop, s.Versioned.Value.ID, day.In(time.UTC))
	return s.Quantity.Sub(l.All), s.Quantity.Sub(l.Most), err
}

// moveColumns expect the nil UUID as $1.
const moveColumns = `
	SELECT m.id, m.part_id, m.number, m.kind, m.quantity, m.value, m.entered, m.unit, m.held,
	m.held_value, m.moved_on, m.posted_on, coalesce(m.job_id, $1::uuid), m.operation,
	coalesce(m.of_id, $1::uuid), m.counts_as, coalesce(m.supplier_id, $1::uuid), m.reference, m.note,
	m.recorded_by, m.recorded_at, w.currency
	FROM stock_moves m
	JOIN workshops w ON w.id = m.workshop_id`

func scanMove(row pgx.CollectableRow) (m stock.Move, err error) {
	var on, posted time.Time
	var value, held int64
	var currency string
	err = row.Scan(
		&m.ID, &m.Part, &m.Number, &m.Kind, &m.Quantity, &value, &m.Entered, &m.Unit, &m.Held,
		&held, &on, &posted, &m.Job, &m.Operation, &m.Of, &m.CountsAs, &m.Supplier, &m.Reference,
		&m.Note, &m.RecordedBy, &m.RecordedAt, &currency,
	)
	if err != nil {
		return m, err
	}
	m.On, m.PostedOn = domain.DateOf(on), domain.DateOf(posted)
	if m.Value, err = amountOf(value, currency); err != nil {
		return m, err
	}
	m.HeldValue, err = amountOf(held, currency)
	return m, err
}

// StockMoves returns a page of the moves of a part in the order in which they were recorded,
// without their entries. Place.Key is a move's number.
func (r Reader) StockMoves(ctx context.Context, part uuid.UUID, p Page) ([]stock.Move, error) {
	q := &query{sql: moveColumns, args: []any{uuid.Nil}}
	q.where("m.workshop_id = " + q.arg(r.workshop) + " AND m.part_id = " + q.arg(part))
	q.page(order{column: "m.number", key: "(%s)::bigint"}, p)
	return many(ctx, r, scanMove, q.sql, q.args...)
}

// WasTakenAfter reports whether anything was taken out of a part's stock on a later day.
func (r Reader) WasTakenAfter(
	ctx context.Context, part uuid.UUID, day domain.Date,
) (bool, error) {
	return one(ctx, r, "part", pgx.RowTo[bool], `
		SELECT EXISTS (SELECT FROM stock_moves
		WHERE workshop_id = $1 AND part_id = $2 AND moved_on > $3 AND quantity < 0)`,
		r.workshop, part, day.In(time.UTC))
}

// WholeStory returns all moves of a part with their entries, in the order of recording.
func (r Reader) WholeStory(ctx context.Context, part uuid.UUID) ([]stock.Move, error) {
	moves, err := r.StockMoves(ctx, part, Whole)
	if err != nil {
		return nil, err
	}
	type placed struct {
		number int64
		entry  stock.Entry
	}
	entries, err := many(ctx, r, func(row pgx.CollectableRow) (p placed, err error) {
		var value int64
		err = row.Scan(&p.number, &p.entry.Layer, &p.entry.OutOn, &p.entry.Quantity, &value)
		p.entry.Value = money.FromMinor(value, moves[0].Value.Currency())
		return p, err
	}, `
		SELECT m.number, e.layer_id, coalesce(e.out_on, $1::uuid), e.quantity, e.value
		FROM stock_moves m
		JOIN stock_entries e ON e.workshop_id = m.workshop_id AND e.move_id = m.id
		WHERE m.workshop_id = $2 AND m.part_id = $3
		ORDER BY m.number, e.line`, uuid.Nil, r.workshop, part)
	for _, p := range entries {
		m := &moves[p.number-1] // numbers have no gaps
		m.Entries = append(m.Entries, p.entry)
	}
	return moves, err
}

// StockMove returns one move of a part with its entries, and nil where the part has no such move.
func (r Reader) StockMove(ctx context.Context, part, id uuid.UUID) (*stock.Move, error) {
	m, err := one(ctx, r, "move", scanMove, moveColumns+`
		WHERE m.workshop_id = $2 AND m.part_id = $3 AND m.id = $4`, uuid.Nil, r.workshop, part, id)
	if isNotFound(err) {
		return nil, nil //nolint:nilnil // what isn't there is for the caller to judge
	}
	if err != nil {
		return nil, err
	}
	m.Entries, err = r.entries(ctx, m)
	return &m, err
}

// LastReceipt returns the newest receipt of a part without its entries, nil where there is none.
func (r Reader) LastReceipt(ctx context.Context, part uuid.UUID) (*stock.Move, error) {
	m, err := one(ctx, r, "receipt", scanMove, moveColumns+`
		WHERE m.workshop_id = $2 AND m.part_id = $3 AND m.kind = 'receipt'
		ORDER BY m.number DESC
		LIMIT 1`, uuid.Nil, r.workshop, part)
	if isNotFound(err) {
		return nil, nil //nolint:nilnil // see StockMove
	}
	return &m, err
}

func isNotFound(err error) bool {
	var f *domain.Fault
	return errors.As(err, &f) && f.Kind == domain.NotFound
}

func (r Reader) entries(ctx context.Context, m stock.Move) ([]stock.Entry, error) {
	return many(ctx, r, func(row pgx.CollectableRow) (e stock.Entry, err error) {
		var value int64
		err = row.Scan(&e.Layer, &e.OutOn, &e.Quantity, &value)
		e.Value = money.FromMinor(value, m.Value.Currency())
		return e, err
	}, `
		SELECT layer_id, coalesce(out_on, $1::uuid), quantity, value
		FROM stock_entries
		WHERE workshop_id = $2 AND move_id = $3
		ORDER BY line`, uuid.Nil, r.workshop, m.ID)
}

// StillOut returns what is out on a move, receipt by receipt in the order in which they are taken.
func (r Reader) StillOut(ctx context.Context, m stock.Move) ([]valuation.Line, error) {
	return many(ctx, r, func(row pgx.CollectableRow) (l valuation.Line, err error) {
		var value int64
		err = row.Scan(&l.Layer, &l.Quantity, &value)
		l.Value = money.FromMinor(value, m.Value.Currency())
		return l, err
	}, `
		SELECT e.layer_id, sum(e.quantity), sum(e.value)::bigint
		FROM stock_entries e
		JOIN stock_layers l ON l.workshop_id = e.workshop_id AND l.id = e.layer_id
		WHERE e.workshop_id = $1 AND e.out_on = $2
		GROUP BY e.layer_id, l.received_on, l.number
		HAVING sum(e.quantity) > 0
		ORDER BY l.received_on, l.number`, r.workshop, m.ID)
}

// GoneFrom returns what is out of a receipt, move by move in the order of recording, but for what
// went back to its supplier; and what the receipt has cost with all adjustments.
func (r Reader) GoneFrom(
	ctx context.Context, receipt stock.Move,
) (gone []stock.Gone, cost money.Amount, err error) {
	gone, err = many(ctx, r, func(row pgx.CollectableRow) (g stock.Gone, err error) {
		err = row.Scan(&g.OutOn, &g.Quantity)
		return g, err
	}, `
		SELECT e.out_on, sum(e.quantity)
		FROM stock_entries e
		JOIN stock_moves m ON m.workshop_id = e.workshop_id AND m.id = e.out_on
		WHERE e.workshop_id = $1 AND e.layer_id = $2 AND m.kind <> 'sent_back'
		GROUP BY e.out_on, m.number
		HAVING sum(e.quantity) > 0
		ORDER BY m.number`, r.workshop, receipt.ID)
	if err != nil {
		return nil, cost, err
	}
	minor, err := one(ctx, r, "receipt", pgx.RowTo[int64], `
		SELECT coalesce(sum(value), 0)::bigint
		FROM stock_entries
		WHERE workshop_id = $1 AND layer_id = $2`, r.workshop, receipt.ID)
	return gone, money.FromMinor(minor, receipt.Value.Currency()), err
}

// IsReversed reports whether a move was reversed.
func (r Reader) IsReversed(ctx context.Context, move uuid.UUID) (bool, error) {
	return one(ctx, r, "move", pgx.RowTo[bool], `
		SELECT EXISTS (SELECT FROM stock_moves
		WHERE workshop_id = $1 AND of_id = $2 AND kind = 'reversal')`, r.workshop, move)
}

// AddStockMove adds a move of a part that is locked, and keeps the totals that follow from it.
func (tx *Tx) AddStockMove(ctx context.Context, m stock.Move, method valuation.Method) error {
	b := &pgx.Batch{}
	b.Queue(`
		INSERT INTO stock_moves (workshop_id, id, part_id, number, kind, quantity, value, entered, unit,
		held, held_value, moved_on, posted_on, job_id, operation, of_id, counts_as, supplier_id,
		reference, note, entries, recorded_by, recorded_at)
		VALUES (@workshop_id, @id, @part_id, @number, @kind, @quantity, @value, @entered, @unit, @held,
		@held_value, @moved_on, @posted_on, nullif(@job_id::uuid, @none::uuid), @operation,
		nullif(@of_id::uuid, @none::uuid), @counts_as, nullif(@supplier_id::uuid, @none::uuid),
		@reference, @note, @entries, @recorded_by, @recorded_at)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "id": m.ID, "part_id": m.Part, "number": m.Number, "kind": m.Kind,
			"quantity": m.Quantity, "value": m.Value.Minor(), "entered": m.Entered, "unit": m.Unit,
			"held": m.Held, "held_value": m.HeldValue.Minor(), "moved_on": m.On.In(time.UTC),
			"posted_on": m.PostedOn.In(time.UTC), "job_id": m.Job, "operation": m.Operation,
			"of_id": m.Of, "counts_as": m.CountsAs, "supplier_id": m.Supplier, "none": uuid.Nil,
			"reference": m.Reference, "note": m.Note, "entries": len(m.Entries),
			"recorded_by": m.RecordedBy, "recorded_at": m.RecordedAt,
		})
	for i, e := range m.Entries {
		b.Queue(`
			INSERT INTO stock_entries (workshop_id, move_id, line, layer_id, out_on, quantity, value)
			VALUES ($1, $2, $3, $4, nullif($5::uuid, $8::uuid), $6, $7)`,
			tx.workshop, m.ID, i+1, e.Layer, e.OutOn, e.Quantity, e.Value.Minor(), uuid.Nil)
		if e.OutOn == uuid.Nil {
			tx.queueLayer(b, m, e, method)
		}
	}
	b.Queue(`
		UPDATE holdings
		SET moves = $3, quantity = $4, value = $5
		WHERE workshop_id = $1 AND part_id = $2`,
		tx.workshop, m.Part, m.Number, m.Held, m.HeldValue.Minor())
	return translate(tx.tx.SendBatch(ctx, b).Close())
}

// queueLayer keeps what is left of a receipt after an entry in stock. Under the moving average all
// value is in the holding.
func (tx *Tx) queueLayer(b *pgx.Batch, m stock.Move, e stock.Entry, method valuation.Method) {
	value := e.Value.Minor()
	if method == valuation.MovingAverage {
		value = 0
	}
	if e.Layer == m.ID {
		b.Queue(`
			INSERT INTO stock_layers (workshop_id, id, part_id, received_on, number, quantity, value)
			VALUES ($1, $2, $3, $4, $5, $6, $7)`,
			tx.workshop, m.ID, m.Part, m.On.In(time.UTC), m.Number, e.Quantity, value)
		return
	}
	b.Queue(`
		UPDATE stock_layers
		SET quantity = quantity + $3, value = value + $4
		WHERE workshop_id = $1 AND id = $2`, tx.workshop, e.Layer, e.Quantity, value)
}
