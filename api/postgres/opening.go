package postgres

import (
	"context"
	"slices"
	"strings"
	"time"

	"bentside/domain"
	"bentside/domain/cost"
	"bentside/domain/opening"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

const openingColumns = `
	SELECT o.id, o.number, o.opened_on, o.recorded_by, o.recorded_at, r.why, r.recorded_by,
	r.recorded_at
	FROM opening_balances o
	LEFT JOIN opening_reversals r ON r.workshop_id = o.workshop_id AND r.opening_id = o.id`

func scanOpened(row pgx.CollectableRow) (o opening.Opening, err error) {
	var on time.Time
	var why *string
	var by *uuid.UUID
	var at *time.Time
	err = row.Scan(&o.ID, &o.Number, &on, &o.RecordedBy, &o.RecordedAt, &why, &by, &at)
	if err == nil && why != nil {
		o.Reversal = &opening.Reversal{Why: *why, RecordedBy: *by, RecordedAt: *at}
	}
	o.OpenedOn = domain.DateOf(on)
	return o, err
}

// OpeningsOfBooks returns a page of the openings of the workshop's books, in their order. Place.Key
// is an opening's number.
func (r Reader) OpeningsOfBooks(ctx context.Context, p Page) ([]opening.Opening, error) {
	q := &query{sql: openingColumns}
	q.where("o.workshop_id = " + q.arg(r.workshop))
	q.page(order{column: "o.number", key: "(%s)::integer"}, p)
	list, err := many(ctx, r, scanOpened, q.sql, q.args...)
	if err != nil {
		return nil, err
	}
	return list, r.addOpeningFiles(ctx, list)
}

// OpeningOfBooks returns one opening of the workshop's books.
func (r Reader) OpeningOfBooks(ctx context.Context, id uuid.UUID) (opening.Opening, error) {
	o, err := one(ctx, r, "opening", scanOpened, openingColumns+`
		WHERE o.workshop_id = $1 AND o.id = $2`, r.workshop, id)
	if err != nil {
		return o, err
	}
	list := []opening.Opening{o}
	err = r.addOpeningFiles(ctx, list)
	return list[0], err
}

// keptTotal is a total of a file as it is stored.
type keptTotal struct {
	Column string `json:"column"`
	Minor  int64  `json:"minor"`
}

func (r Reader) addOpeningFiles(ctx context.Context, list []opening.Opening) error {
	ids, at := make([]uuid.UUID, len(list)), map[uuid.UUID]*opening.Opening{}
	for i := range list {
		ids[i], at[list[i].ID] = list[i].ID, &list[i]
	}
	type placed struct {
		opening uuid.UUID
		file    opening.FileSum
	}
	files, err := many(ctx, r, func(row pgx.CollectableRow) (p placed, err error) {
		var hash []byte
		var totals []keptTotal
		var code string
		err = row.Scan(&p.opening, &p.file.File, &hash, &p.file.Rows, &totals, &code)
		if err != nil {
			return p, err
		}
		copy(p.file.Hash[:], hash)
		c, err := money.ParseCurrency(code)
		for _, t := range totals {
			p.file.Totals = append(p.file.Totals, opening.Total{
				Column: t.Column, Amount: money.FromMinor(t.Minor, c),
			})
		}
		return p, err
	}, `
		SELECT f.opening_id, f.name, f.hash, f.rows, f.totals, w.currency
		FROM opening_files f
		JOIN workshops w ON w.id = f.workshop_id
		WHERE f.workshop_id = $1 AND f.opening_id = ANY($2::uuid[])
		ORDER BY f.opening_id, f.place`, r.workshop, ids)
	for _, p := range files {
		o := at[p.opening]
		o.Files = append(o.Files, p.file)
	}
	return err
}

// OpeningRows returns a page of what the rows of an opening became, in their order. Place.Key is a
// row's number.
func (r Reader) OpeningRows(
	ctx context.Context, of uuid.UUID, p Page,
) ([]opening.Row, error) {
	q := &query{sql: `
	SELECT o.number, o.file, o.line, o.kind, o.record_id, o.happened_on, o.value,
	coalesce(o.used_id, $1::uuid), o.billed, w.currency
	FROM opening_rows o
	JOIN workshops w ON w.id = o.workshop_id`, args: []any{uuid.Nil}}
	q.where("o.workshop_id = " + q.arg(r.workshop) + " AND o.opening_id = " + q.arg(of))
	q.page(order{column: "o.number", key: "(%s)::integer"}, p)
	return many(ctx, r, func(row pgx.CollectableRow) (x opening.Row, err error) {
		var on time.Time
		var value, billed int64
		var code string
		err = row.Scan(&x.Number, &x.File, &x.Line, &x.Kind, &x.Record, &on, &value, &x.Used, &billed,
			&code)
		if err != nil {
			return x, err
		}
		x.On = domain.DateOf(on)
		c, err := money.ParseCurrency(code)
		x.Value, x.Billed = money.FromMinor(value, c), money.FromMinor(billed, c)
		return x, err
	}, q.sql, q.args...)
}

// OpeningOfMove returns the opening that a move of stock came in with; the nil UUID: none.
func (r Reader) OpeningOfMove(ctx context.Context, move uuid.UUID) (uuid.UUID, error) {
	found, err := many(ctx, r, pgx.RowTo[uuid.UUID], `
		SELECT opening_id FROM opening_rows
		WHERE workshop_id = $1 AND (record_id = $2 OR used_id = $2)`,
		r.workshop, move)
	if err != nil || len(found) == 0 {
		return uuid.Nil, err
	}
	return found[0], nil
}

// BeganOn returns the day on which the books were opened with what there was of a part; zero where
// no opening that stands brought any in.
func (r Reader) BeganOn(ctx context.Context, part uuid.UUID) (domain.Date, error) {
	found, err := many(ctx, r, pgx.RowTo[time.Time], `
		SELECT b.opened_on
		FROM opening_balances b
		WHERE b.workshop_id = $1
		AND NOT EXISTS (SELECT FROM opening_reversals v
		WHERE v.workshop_id = b.workshop_id AND v.opening_id = b.id)
		AND EXISTS (SELECT FROM opening_rows o
		JOIN stock_moves m ON m.workshop_id = o.workshop_id AND m.id = o.record_id
		WHERE o.workshop_id = b.workshop_id AND o.opening_id = b.id AND o.kind = 'stock_move'
		AND m.part_id = $2)`, r.workshop, part)
	if err != nil || len(found) == 0 {
		return domain.Date{}, err
	}
	return domain.DateOf(found[0]), nil
}

// PartsOfMoves returns the part of each of some moves of stock.
func (r Reader) PartsOfMoves(
	ctx context.Context, moves []uuid.UUID,
) (map[uuid.UUID]uuid.UUID, error) {
	type moved struct{ Move, Part uuid.UUID }
	list, err := many(ctx, r, pgx.RowToStructByPos[moved], `
		SELECT id, part_id FROM stock_moves WHERE workshop_id = $1 AND id = ANY($2::uuid[])`,
		r.workshop, moves)
	parts := map[uuid.UUID]uuid.UUID{}
	for _, m := range list {
		parts[m.Move] = m.Part
	}
	return parts, err
}

// costsBy returns the query for the costs of lines l, chosen by a condition, that old books have
// too if their balances are those at the end of a day: what took place by then, and prices and sums
// that came in with an agreed offer or with work that was taken over. What was taken back again is
// left out. The day of the accrual stands for a bill of outside work that took its place.
func costsBy(day, condition string) string {
	const since = `coalesce(min(a.effective_on), min(l.effective_on))`
	return `SELECT l.origin_id, min(l.source_kind) AS source, ` + since + ` AS since
		FROM cost_lines l
		LEFT JOIN cost_documents d ON d.workshop_id = l.workshop_id AND d.id = l.origin_id
		LEFT JOIN cost_documents a ON a.workshop_id = d.workshop_id AND a.id = d.of_id
		AND a.kind = 'outside_accrued'
		WHERE ` + condition + `
		GROUP BY l.origin_id
		HAVING sum(l.amount) <> 0
		AND (` + since + ` <= ` + day + ` OR bool_or(l.source_kind IN ('offer', 'opening')))`
}

// KnownPianos returns what is known of the instruments that have some stock numbers, by number. Of
// what they have cost that is what old books have too, whose balances are those of a day.
func (r Reader) KnownPianos(
	ctx context.Context, numbers []string, balances domain.Date,
) (map[string]opening.KnownPiano, error) {
	known := map[string]opening.KnownPiano{}
	found, err := many(ctx, r, scanInstrument, instrumentColumns+`
		WHERE workshop_id = $1 AND stock_number = ANY($2)`, r.workshop, numbers)
	if err != nil || len(found) == 0 {
		return known, err
	}
	type stands struct {
		Number                  string
		Job                     uuid.UUID
		Costed, Deposited, Sold bool
	}
	list, err := many(ctx, r, pgx.RowToStructByPos[stands], `
		SELECT i.stock_number, coalesce((SELECT j.id FROM jobs j
		WHERE j.workshop_id = i.workshop_id AND j.instrument_id = i.id AND j.closed_on IS NULL
		ORDER BY j.place LIMIT 1), $1::uuid),
		EXISTS (`+costsBy("$4", "l.workshop_id = i.workshop_id AND l.instrument_id = i.id")+`)
		OR EXISTS (SELECT FROM cost_documents p
		WHERE p.workshop_id = i.workshop_id AND p.instrument_id = i.id AND p.kind = 'purchase'
		AND NOT `+reversedDocument+`),
		EXISTS (SELECT FROM deposit_moves m
		WHERE m.workshop_id = i.workshop_id AND m.instrument_id = i.id
		GROUP BY m.deposit_id
		HAVING sum(CASE m.kind WHEN 'taken' THEN m.amount ELSE -m.amount END) > 0),
		EXISTS (SELECT FROM sales s
		LEFT JOIN sale_returns b ON b.workshop_id = s.workshop_id AND b.sale_id = s.id
		WHERE s.workshop_id = i.workshop_id AND s.instrument_id = i.id AND b.sale_id IS NULL)
		FROM instruments i
		WHERE i.workshop_id = $2 AND i.stock_number = ANY($3)`, uuid.Nil, r.workshop, numbers,
		balances.In(time.UTC))
	for _, i := range found {
		for _, s := range list {
			if s.Number == i.Value.StockNumber {
				known[s.Number] = opening.KnownPiano{
					Instrument: i.Value, Job: s.Job, Costed: s.Costed,
					Deposited: s.Deposited, Sold: s.Sold,
				}
			}
		}
	}
	return known, err
}

// standingMove is the condition that the move m still counts: that it moved something, wasn't
// reversed, and isn't one of adjustments that cancel out. What was costed anew isn't a move of its
// own: it stands by those that it costs.
const standingMove = `m.entries > 0 AND m.kind NOT IN ('reversal', 'recosting')
		AND NOT EXISTS (SELECT FROM stock_moves b
		WHERE b.workshop_id = m.workshop_id AND b.of_id = m.id AND b.kind = 'reversal')
		AND (m.kind <> 'adjustment' OR 0 <> (SELECT sum(e.value)
		FROM stock_moves a
		JOIN stock_entries e ON e.workshop_id = a.workshop_id AND e.move_id = a.id
		WHERE a.workshop_id = m.workshop_id AND a.of_id = m.of_id AND a.kind = 'adjustment'))`

// KnownParts returns the parts that have some codes, by code in lower case, and whether anything of
// each was moved that still counts.
func (r Reader) KnownParts(
	ctx context.Context, codes []string,
) (map[string]opening.KnownPart, error) {
	list, err := many(ctx, r, scanStockedPart, stockedParts+`
		WHERE p.workshop_id = $2
		AND p.code_key = ANY(ARRAY(SELECT lower(code) FROM unnest($3::text[]) AS code))`,
		uuid.Nil, r.workshop, codes)
	if err != nil {
		return nil, err
	}
	known, ids := map[string]opening.KnownPart{}, make([]uuid.UUID, len(list))
	for i, p := range list {
		ids[i] = p.Versioned.Value.ID
	}
	moved, err := many(ctx, r, pgx.RowTo[uuid.UUID], `
		SELECT DISTINCT m.part_id
		FROM stock_moves m
		WHERE m.workshop_id = $1 AND m.part_id = ANY($2::uuid[]) AND `+standingMove, r.workshop, ids)
	for _, p := range list {
		part := p.Versioned.Value
		known[strings.ToLower(part.Code)] = opening.KnownPart{
			Part: part, Moved: slices.Contains(moved, part.ID), Method: p.Method,
		}
	}
	return known, err
}

// KnownJobs returns what is known of some jobs. Of what they have cost that is as for KnownPianos.
func (r Reader) KnownJobs(
	ctx context.Context, ids []uuid.UUID, balances domain.Date,
) (map[uuid.UUID]opening.KnownJob, error) {
	known := map[uuid.UUID]opening.KnownJob{}
	if len(ids) == 0 {
		return known, nil
	}
	type stands struct {
		ID, Instrument        uuid.UUID
		Clients, Open, Costed bool
	}
	list, err := many(ctx, r, pgx.RowToStructByPos[stands], `
		SELECT j.id, j.instrument_id, i.owner = 'client', j.closed_on IS NULL,
		EXISTS (`+costsBy("$3", "l.workshop_id = j.workshop_id AND l.job_id = j.id")+`)
		FROM jobs j
		JOIN instruments i ON i.workshop_id = j.workshop_id AND i.id = j.instrument_id
		WHERE j.workshop_id = $1 AND j.id = ANY($2::uuid[])`, r.workshop, ids, balances.In(time.UTC))
	for _, s := range list {
		known[s.ID] = opening.KnownJob{
			Instrument: s.Instrument, Clients: s.Clients, Open: s.Open, Costed: s.Costed,
		}
	}
	return known, err
}

// BilledBefore returns what had been billed for a job when the books were opened; nil where no
// opening that stands says it.
func (r Reader) BilledBefore(ctx context.Context, job uuid.UUID) (*money.Amount, error) {
	found, err := many(ctx, r, func(row pgx.CollectableRow) (a money.Amount, err error) {
		var minor int64
		var code string
		if err = row.Scan(&minor, &code); err != nil {
			return a, err
		}
		return amountOf(minor, code)
	}, `
		SELECT o.billed, w.currency
		FROM opening_rows o
		JOIN workshops w ON w.id = o.workshop_id
		WHERE o.workshop_id = $1 AND o.record_id = $2 AND o.kind = 'job'
		AND NOT EXISTS (SELECT FROM opening_reversals r
		WHERE r.workshop_id = o.workshop_id AND r.opening_id = o.opening_id)`, r.workshop, job)
	if err != nil || len(found) == 0 {
		return nil, err
	}
	return &found[0], nil
}

// DocumentsOfOpening returns the documents of cost that came in with an opening, without reversals.
func (r Reader) DocumentsOfOpening(ctx context.Context, id uuid.UUID) ([]cost.Document, error) {
	return many(ctx, r, scanCostDocument, costDocumentColumns+`
		WHERE p.workshop_id = $2 AND p.opening_id = $3 AND p.kind <> 'reversal'
		ORDER BY p.instrument_id, p.recorded_at, p.id`, uuid.Nil, r.workshop, id)
}

// RestsOnOpening returns what rests on what an opening brought in, or would keep the next one from
// bringing it in again: sales, later valuations and losses of its pianos, costs of its pianos and
// jobs that its books have too, whatever else was moved of its parts, bills of them, deliveries of
// its orders, changes of those that are open (what was ordered since would be cancelled with the
// rest), what became of its deposits, and the ends of its jobs.
func (r Reader) RestsOnOpening(ctx context.Context, id uuid.UUID) ([]opening.Resting, error) {
	return many(ctx, r, func(row pgx.CollectableRow) (x opening.Resting, err error) {
		var on time.Time
		err = row.Scan(&x.File, &x.Line, &x.What, &x.ID, &on)
		x.On = domain.DateOf(on)
		return x, err
	}, `
		SELECT o.file, o.line, 'the sale', s.id, s.effective_on
		FROM opening_rows o
		JOIN sales s ON s.workshop_id = o.workshop_id AND s.instrument_id = o.record_id
		WHERE o.workshop_id = $1 AND o.opening_id = $2 AND o.kind = 'instrument'
		UNION ALL
		SELECT o.file, o.line, 'the valuation', v.id, v.effective_on
		FROM opening_rows o
		JOIN opening_balances b ON b.workshop_id = o.workshop_id AND b.id = o.opening_id
		JOIN valuations v ON v.workshop_id = o.workshop_id AND v.instrument_id = o.record_id
		AND v.recorded_at > b.recorded_at
		WHERE o.workshop_id = $1 AND o.opening_id = $2 AND o.kind = 'instrument'
		UNION ALL
		SELECT o.file, o.line, 'the loss', l.instrument_id, l.effective_on
		FROM opening_rows o
		JOIN losses l ON l.workshop_id = o.workshop_id AND l.instrument_id = o.record_id
		WHERE o.workshop_id = $1 AND o.opening_id = $2 AND o.kind = 'instrument'
		UNION ALL
		SELECT DISTINCT o.file, o.line, 'the move (' || m.kind || ')', m.id, m.moved_on
		FROM opening_rows o
		JOIN stock_entries e ON e.workshop_id = o.workshop_id AND e.layer_id = o.record_id
		JOIN stock_moves m ON m.workshop_id = e.workshop_id AND m.id = e.move_id
		WHERE o.workshop_id = $1 AND o.opening_id = $2 AND o.kind = 'stock_move'
		AND m.id <> o.record_id AND m.id IS DISTINCT FROM o.used_id AND `+standingMove+`
		UNION ALL
		SELECT (x.first).file, (x.first).line, 'the move (' || m.kind || ')', m.id, m.moved_on
		FROM (
		SELECT n.part_id, min(n.workshop_id::text)::uuid AS workshop_id,
		(array_agg(o ORDER BY o.number))[1] AS first,
		array_agg(o.record_id) || array_agg(o.used_id) AS own
		FROM opening_rows o
		JOIN stock_moves n ON n.workshop_id = o.workshop_id AND n.id = o.record_id
		WHERE o.workshop_id = $1 AND o.opening_id = $2 AND o.kind = 'stock_move'
		GROUP BY n.part_id) x
		JOIN stock_moves m ON m.workshop_id = x.workshop_id AND m.part_id = x.part_id
		WHERE m.id <> ALL(array_remove(x.own, NULL)) AND `+standingMove+`
		AND NOT EXISTS (SELECT FROM stock_entries e
		WHERE e.workshop_id = m.workshop_id AND e.move_id = m.id AND e.layer_id = ANY(x.own))
		UNION ALL
		SELECT o.file, o.line, 'the cost (' || c.source || ')', c.origin_id, c.since
		FROM opening_rows o
		JOIN opening_balances p ON p.workshop_id = o.workshop_id AND p.id = o.opening_id
		CROSS JOIN LATERAL (`+costsBy("p.opened_on - 1", `l.workshop_id = o.workshop_id
		AND (o.kind = 'instrument' AND l.instrument_id = o.record_id
		OR o.kind = 'job' AND l.job_id = o.record_id)
		AND NOT coalesce(d.opening_id = o.opening_id, false)`)+`) c
		WHERE o.workshop_id = $1 AND o.opening_id = $2 AND o.kind IN ('instrument', 'job')
		UNION ALL
		SELECT DISTINCT o.file, o.line, 'the bill', b.id, b.billed_on
		FROM opening_rows o
		JOIN supplier_bill_lines l ON l.workshop_id = o.workshop_id AND l.receipt_id = o.record_id
		JOIN supplier_bills b ON b.workshop_id = l.workshop_id AND b.id = l.bill_id
		WHERE o.workshop_id = $1 AND o.opening_id = $2 AND o.kind = 'stock_move'
		UNION ALL
		SELECT o.file, o.line, 'the delivery', d.id, d.delivered_on
		FROM opening_rows o
		JOIN deliveries d ON d.workshop_id = o.workshop_id AND d.order_id = o.record_id
		WHERE o.workshop_id = $1 AND o.opening_id = $2 AND o.kind = 'order'
		AND EXISTS (SELECT FROM arrivals a
		JOIN received v ON v.workshop_id = a.workshop_id AND v.receipt_id = a.receipt_id
		WHERE a.workshop_id = d.workshop_id AND a.delivery_id = d.id AND NOT v.reversed)
		UNION ALL
		SELECT o.file, o.line, 'the change of the order', x.id,
		max(v.recorded_at AT TIME ZONE w.zone)::date
		FROM opening_rows o
		JOIN workshops w ON w.id = o.workshop_id
		JOIN orders x ON x.workshop_id = o.workshop_id AND x.open
		JOIN events v ON v.workshop_id = x.workshop_id AND v.subject = x.id AND v.kind = $3
		WHERE o.workshop_id = $1 AND o.opening_id = $2 AND (o.kind = 'order' AND x.id = o.record_id
		OR o.kind = 'stock_move' AND x.id = (SELECT a.order_id FROM arrivals a
		WHERE a.workshop_id = o.workshop_id AND a.receipt_id = o.record_id))
		GROUP BY o.file, o.line, x.id
		UNION ALL
		SELECT o.file, o.line, 'the move (' || m.kind || ')', m.id, m.effective_on
		FROM opening_rows o
		JOIN deposit_moves m ON m.workshop_id = o.workshop_id AND m.deposit_id = o.record_id
		WHERE o.workshop_id = $1 AND o.opening_id = $2 AND o.kind = 'deposit' AND m.kind <> 'taken'
		UNION ALL
		SELECT o.file, o.line, 'the end of the job', j.id, j.closed_on
		FROM opening_rows o
		JOIN jobs j ON j.workshop_id = o.workshop_id AND j.id = o.record_id
		WHERE o.workshop_id = $1 AND o.opening_id = $2 AND o.kind = 'job' AND j.closed_on IS NOT NULL
		ORDER BY 1, 2, 5, 4`, r.workshop, id, domain.OrderChanged)
}

// AddOpening records an opening with its files and what their rows became.
func (tx *Tx) AddOpening(ctx context.Context, o opening.Opening, rows []opening.Row) error {
	b := &pgx.Batch{}
	b.Queue(`
		INSERT INTO opening_balances (workshop_id, id, number, opened_on, recorded_by, recorded_at)
		VALUES ($1, $2, $3, $4, $5, $6)`,
		tx.workshop, o.ID, o.Number, o.OpenedOn.In(time.UTC), o.RecordedBy, o.RecordedAt)
	for i, f := range o.Files {
		totals := make([]keptTotal, len(f.Totals))
		for k, t := range f.Totals {
			totals[k] = keptTotal{t.Column, t.Amount.Minor()}
		}
		b.Queue(`
			INSERT INTO opening_files (workshop_id, opening_id, place, name, hash, rows, totals)
			VALUES ($1, $2, $3, $4, $5, $6, $7)`,
			tx.workshop, o.ID, i+1, f.File, f.Hash[:], f.Rows, totals)
	}
	for _, r := range rows {
		b.Queue(`
			INSERT INTO opening_rows (workshop_id, opening_id, number, file, line, kind, record_id,
			happened_on, value, used_id, billed)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)`,
			tx.workshop, o.ID, r.Number, r.File, r.Line, r.Kind, r.Record, r.On.In(time.UTC),
			r.Value.Minor(), orNull(r.Used), r.Billed.Minor())
	}
	return translate(tx.tx.SendBatch(ctx, b).Close())
}

// AddOpeningReversal records that an opening was taken back.
func (tx *Tx) AddOpeningReversal(ctx context.Context, id uuid.UUID, r opening.Reversal) error {
	return tx.exec(ctx, `
		INSERT INTO opening_reversals (workshop_id, opening_id, why, recorded_by, recorded_at)
		VALUES ($1, $2, $3, $4, $5)`, tx.workshop, id, r.Why, r.RecordedBy, r.RecordedAt)
}
