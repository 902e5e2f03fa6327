package app_test

import (
	"context"
	"math/rand/v2"
	"sync"
	"sync/atomic"
	"testing"

	"bentside/api/app"
	"bentside/api/postgres/pgtest"
	"bentside/domain"
	"bentside/domain/cost"
	"bentside/domain/hours"
	"bentside/domain/job"
	"bentside/domain/stock"
	"bentside/pricing/money"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"
)

// costs is a workshop whose hands work on two pianos at once, at random.
type costs struct {
	*testing.T
	*app.App
	who    app.Actor
	jobs   []job.Job
	people []uuid.UUID
	parts  []uuid.UUID
	firm   uuid.UUID

	mu        sync.Mutex
	moves     sync.Map
	entries   []uuid.UUID
	documents []cost.Document
}

func costsOf(t *testing.T, a *app.App, who app.Actor) *costs {
	t.Helper()
	c := &costs{T: t, App: a, who: who}
	for range 2 {
		c.jobs = append(c.jobs, accepted(t, a, who, drawnUp(t, a, who, ownPiano())))
	}
	for _, off := range []bool{false, true} {
		p, err := a.AddPerson(t.Context(), who, domain.Person{
			Name: "a hand", Skills: []string{"stringing"}, ProductiveShare: decimal.New(7, -1),
			OffPayroll: off,
		})
		if err != nil {
			t.Fatal(err)
		}
		c.people = append(c.people, p.Value.ID)
	}
	firm, err := a.AddParty(t.Context(), who, domain.Party{Name: "Silver & Sons"})
	if err != nil {
		t.Fatal(err)
	}
	c.firm = firm.Value.ID
	c.parts = []uuid.UUID{
		newPart(t, a, who, "F-1", valuation.FIFO), newPart(t, a, who, "M-1", valuation.MovingAverage),
	}
	return c
}

// steps are those of outside work.
var steps = []cost.DocumentKind{cost.OutsideAgreed, cost.OutsideAccrued, cost.OutsideBilled}

// event makes one thing happen.
func (c *costs) event(r *rand.Rand) error {
	ctx, j := c.Context(), c.jobs[r.IntN(len(c.jobs))]
	day := domain.DateOf(morning).AddDays(-r.IntN(10))
	euros := money.FromMinor(1+r.Int64N(90_000), money.MustCurrency("EUR"))
	switch r.IntN(10) {
	case 0, 1:
		e, err := c.EnterHours(ctx, c.who, app.HoursDraft{Duration: "#/minutes", Entry: hours.Entry{
			Person: c.people[r.IntN(2)], Job: j.ID, Operation: j.Tasks[r.IntN(3)].Operation, On: day,
			Minutes: 1 + r.IntN(200), Reason: "it was at hand", Note: "so it is", Correction: "forgotten",
			Rework: []hours.Rework{"", "", hours.NormalRework, hours.AbnormalRework}[r.IntN(4)],
		}})
		c.keep(func() { c.entries = append(c.entries, e.ID) }, err)
		return err
	case 2:
		id, some := pick(r, &c.mu, &c.entries)
		if !some {
			return nil
		}
		_, err := c.ReverseHours(ctx, c.who, app.HoursReversal{
			Entry: id, Minutes: r.IntN(50), Duration: "#/minutes", Why: "wrong",
		})
		return err
	case 3:
		_, err := c.ApproveHours(ctx, c.who, app.WeekApproval{
			Person: c.people[r.IntN(2)], Week: hours.WeekOf(day),
		})
		return err
	case 4, 5, 6:
		d := randomDraft(r, c.parts[r.IntN(2)], &c.moves)
		if d.Kind == stock.Issue {
			d.Job = j.ID
		}
		m, err := c.MoveStock(ctx, c.who, d)
		c.keep(func() { c.moves.Store(m.ID, m) }, err)
		return err
	case 7, 8:
		d := cost.Document{
			Kind: steps[r.IntN(len(steps))], Job: j.ID, Operation: j.Tasks[r.IntN(3)].Operation,
			Party: c.firm, Reference: "bill", On: day, Amount: euros,
		}
		if of, some := pick(r, &c.mu, &c.documents); some && r.IntN(2) == 0 {
			d.Of, d.Job, d.Operation, d.On = of.ID, of.Job, of.Operation, domain.DateOf(morning)
		}
		d, err := c.RecordOutsideWork(ctx, c.who, d)
		c.keep(func() { c.documents = append(c.documents, d) }, err)
		return err
	default:
		if d, some := pick(r, &c.mu, &c.documents); some && r.IntN(2) == 0 {
			_, err := c.ReverseCost(ctx, c.who, d.ID, "wrong")
			return err
		}
		_, err := c.RecordOtherCost(ctx, c.who, cost.OtherDraft{Kind: cost.Other, Document: cost.Document{
			Instrument: j.Instrument, Job: j.ID, Purpose: cost.Purposes[1+r.IntN(len(cost.Purposes)-1)],
			Amount: euros, On: day, Note: "so it is",
		}})
		return err
	}
}

// keep notes what was made.
func (c *costs) keep(note func(), err error) {
	if err == nil {
		c.mu.Lock()
		defer c.mu.Unlock()
		note()
	}
}

func pick[T any](r *rand.Rand, mu *sync.Mutex, list *[]T) (T, bool) {
	mu.Lock()
	defer mu.Unlock()
	var none T
	if len(*list) == 0 {
		return none, false
	}
	return (*list)[r.IntN(len(*list))], true
}

// Six hands work, approve, take back, issue, return, receive late, agree and bill at once, at
// random and with much that is refused. What is kept of each piano is the sum of its lines, and
// each record has cost what it says by itself, whoever came first.
func TestTheKeptTotalsOfCostAreWhatTheRecordsSayWhoeverWorks(t *testing.T) {
	t.Parallel()
	const hands = 6
	each := 60
	if testing.Short() {
		each = 15
	}
	a, db := opened(t, hands, atMorning)
	c := costsOf(t, a, founded(t, a))
	var taken, refused atomic.Int64
	var wg sync.WaitGroup
	for hand := range hands {
		wg.Go(func() {
			r := rand.New(rand.NewPCG(uint64(hand), 7))
			for range each {
				switch err := c.event(r); faultKind(err) {
				case domain.Conflict, domain.Invalid:
					refused.Add(1)
				default:
					if err != nil {
						t.Errorf("refused with %v", err)
					}
					taken.Add(1)
				}
			}
		})
	}
	wg.Wait()
	if taken.Load() < int64(hands*each)/4 || refused.Load() == 0 {
		t.Errorf("%d events were taken and %d refused", taken.Load(), refused.Load())
	}
	wantCostsOfRecords(t, db)
	c.wantAgreement()
}

// costFaults count what contradicts the records of a workshop of cents. The rates are those of the
// settings, which nobody changed.
var costFaults = map[string]string{
	"totals that aren't the sum of their lines": `
		SELECT count(*) FROM cost_totals t
		FULL JOIN (SELECT instrument_id,
		  coalesce(job_id, '00000000-0000-0000-0000-000000000000') AS job_id,
		  operation COLLATE "C" AS operation, kind COLLATE "C" AS kind, purpose COLLATE "C" AS purpose,
		  inventory, sum(amount) AS amount, sum(minutes) AS minutes, count(*) AS lines
		  FROM cost_lines GROUP BY 1, 2, 3, 4, 5, 6) l
		USING (instrument_id, job_id, operation, kind, purpose, inventory)
		WHERE (t.amount, t.minutes, t.lines) IS DISTINCT FROM (l.amount::bigint, l.minutes, l.lines)`,
	"entries whose approved hours cost something else": `
		SELECT count(*) FROM (
		  SELECT coalesce(e.reverses, e.id) AS origin, x.kind,
		  round(sum(e.minutes) * x.rate / 60, 2) * 100 AS want
		  FROM time_entries e
		  JOIN time_approved d ON d.entry_id = e.id
		  JOIN people p ON p.id = e.person_id
		  JOIN tasks t ON t.job_id = e.job_id AND t.operation = e.operation
		  JOIN workshops w ON w.id = e.workshop_id
		  CROSS JOIN LATERAL (VALUES
		    (CASE WHEN p.on_payroll THEN 'labour' ELSE 'notional_labour' END,
		     (w.labour_rates ->> (t.line ->> 'skill'))::numeric),
		    ('overhead', w.overhead_rate)) AS x (kind, rate)
		  GROUP BY 1, 2, x.rate) m
		FULL JOIN (SELECT origin_id AS origin, kind, sum(amount) AS got FROM cost_lines
		  WHERE source_kind = 'time_entry' GROUP BY 1, 2) l USING (origin, kind)
		WHERE coalesce(m.want, 0) <> coalesce(l.got, 0)`,
	"issues whose parts cost something else": `
		SELECT count(*) FROM (
		  SELECT e.out_on AS origin, sum(e.value) AS want, sum(e.quantity) AS quantity
		  FROM stock_entries e
		  JOIN stock_moves m ON m.id = e.out_on AND m.job_id IS NOT NULL GROUP BY 1) m
		FULL JOIN (SELECT origin_id AS origin, sum(amount) AS got, sum(quantity) AS moved FROM cost_lines
		  WHERE source_kind = 'stock_move' GROUP BY 1) l USING (origin)
		WHERE (coalesce(want, 0), coalesce(quantity, 0)) <> (coalesce(got, 0), coalesce(moved, 0))`,
	"documents that cost something else": `
		SELECT count(*) FROM (
		  SELECT d.id AS origin, CASE WHEN d.kind IN ('outside_agreed', 'reversal')
		    OR EXISTS (SELECT FROM cost_documents b WHERE b.of_id = d.id AND b.kind = 'reversal')
		    OR EXISTS (SELECT FROM cost_documents n WHERE n.of_id = d.id AND n.kind <> 'reversal'
		      AND NOT EXISTS (SELECT FROM cost_documents b WHERE b.of_id = n.id AND b.kind = 'reversal'))
		    THEN 0 ELSE d.amount END AS want
		  FROM cost_documents d) m
		FULL JOIN (SELECT origin_id AS origin, sum(amount) AS got FROM cost_lines
		  WHERE source_kind = 'document' GROUP BY 1) l USING (origin)
		WHERE coalesce(want, 0) <> coalesce(got, 0)`,
	"lines in a view that they don't belong to": `
		SELECT count(*) FROM cost_lines
		WHERE inventory <> (kind <> 'notional_labour' AND purpose IN ('acquisition', 'work', 'seasoning', 'rework', 'normal_loss'))`,
	"documents that two others have the place of": `
		SELECT count(*) FROM (
		  SELECT n.of_id FROM cost_documents n WHERE n.kind <> 'reversal' AND n.of_id IS NOT NULL
		  AND NOT EXISTS (SELECT FROM cost_documents b WHERE b.of_id = n.id AND b.kind = 'reversal')
		  GROUP BY 1 HAVING count(*) > 1) twice`,
}

func wantCostsOfRecords(t *testing.T, db *pgtest.DB) {
	t.Helper()
	c, err := pgx.Connect(t.Context(), db.Owner)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close(context.WithoutCancel(t.Context())) //nolint:errcheck // the test has its answer
	for what, sql := range costFaults {
		var n int
		if err := c.QueryRow(t.Context(), sql).Scan(&n); err != nil {
			t.Fatalf("%s: %v", what, err)
		}
		if n != 0 {
			t.Errorf("%d %s", n, what)
		}
	}
	var kinds int
	if err := c.QueryRow(t.Context(), `SELECT count(DISTINCT kind) FROM cost_lines`).Scan(&kinds); err != nil {
		t.Fatal(err)
	}
	if kinds < 6 && !testing.Short() {
		t.Errorf("only %d kinds of cost came up", kinds)
	}
}

// wantAgreement compares what is told of the shop with what is told of each job.
func (c *costs) wantAgreement() {
	c.Helper()
	w, err := c.WorkInProgress(c.Context(), c.who, domain.Date{})
	if err != nil {
		c.Fatal(err)
	}
	sum := money.Zero(w.Currency)
	for _, j := range c.jobs {
		one, err := c.JobCost(c.Context(), c.who, j.ID)
		if err != nil {
			c.Fatal(err)
		}
		sum = sum.Add(one.Spent.Inventory)
		v, whole := one.Variance, money.Zero(w.Currency)
		for _, part := range []money.Amount{v.Scope, v.Hours, v.Rate, v.Price, v.Rework, v.Beyond} {
			whole = whole.Add(part)
		}
		if whole != v.Total || v.Total != one.AtCompletion.Likely.Sub(one.Baseline.Likely) {
			c.Errorf("the parts of the variance come to %s, in all it is %s", whole, v.Total)
		}
		all, err := c.InstrumentCost(c.Context(), c.who, j.Instrument)
		if err != nil {
			c.Fatal(err)
		}
		if all.Spent != one.Spent || all.Committed != one.Committed {
			c.Errorf("the piano has cost %+v, its only job %+v", all.Spent, one.Spent)
		}
	}
	if w.Posted != sum || w.Known != sum {
		c.Errorf("%s and %s are in progress, the open jobs have %s", w.Posted, w.Known, sum)
	}
}
