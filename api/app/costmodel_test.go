package app_test

import (
	"context"
	"flag"
	"fmt"
	"log/slog"
	"maps"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain"
	"bentside/domain/cost"
	"bentside/domain/hours"
	"bentside/domain/job"
	"bentside/domain/sale"
	"bentside/domain/stock"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"
)

var (
	pairs     = flag.Int("pairs", 50, "how many pairs of events the slow model of costs is held against")
	pairsSeed = flag.Uint64("pairs-seed", 1, "the seed of those events")
)

// The rates of the test, in cents an hour.
const (
	labourCents, overheadCents, notionalCents = 2437, 1819, 3103
	hour                                      = 60
)

// modelled is a workshop with two pianos and two parts, beside the slow model of what they cost.
type modelled struct {
	*testing.T
	*app.App
	who     app.Actor
	db      *pgx.Conn
	r       *rand.Rand
	jobs    []job.Job
	tasks   [][]job.Task // of each job, those whose hours are work
	people  []uuid.UUID  // the second is off the payroll
	parties []uuid.UUID
	parts   []uuid.UUID
	weeks   []domain.Date

	shelves []*slowPart
	pianos  []*slowPiano
	issues  map[uuid.UUID]*slowIssue
	moves   []stock.Move
	entries map[uuid.UUID]*slowEntry
	papers  []paper
	sales   []uuid.UUID // that stand, by piano; zero: none
	taken   map[string]int
}

// slowIssue is what is still out of an issue to a job.
type slowIssue struct {
	part, piano int // piano -1: scrap
	out         []slowLine
	whole       bool // nothing came back yet
}

// paper is a document of a piano.
type paper struct {
	id    uuid.UUID
	piano int
	*slowDocument
	made cost.Document
}

// event is something that is about to happen: what it is called, how it is done, and what the model
// makes of it once it has happened.
type event struct {
	kind  string
	part  int   // that it moves; -1: none
	takes int64 // pieces out of it
	do    func(who app.Actor) (apply func(), err error)
}

func modelledShop(t *testing.T) *modelled {
	t.Helper()
	db := pgtest.New(t)
	store, err := postgres.Open(t.Context(), db.Service, 4)
	must1(t, err)
	t.Cleanup(store.Close)
	m := &modelled{
		T: t, App: app.New(store, atMorning, slog.New(slog.DiscardHandler)),
		r: rand.New(rand.NewPCG(*pairsSeed, 9)), issues: map[uuid.UUID]*slowIssue{},
		entries: map[uuid.UUID]*slowEntry{}, taken: map[string]int{}, sales: make([]uuid.UUID, 2),
	}
	m.db, err = pgx.Connect(t.Context(), db.Owner)
	must1(t, err)
	t.Cleanup(func() { m.db.Close(context.WithoutCancel(t.Context())) }) //nolint:errcheck,gosec // the test has its answer
	w, err := app.DefaultWorkshop("Fernwood Pianos", "Europe/Lisbon", "EUR")
	must1(t, err)
	w.Terms.TaxRegime, w.Terms.TaxRate = domain.MarginTax, decimal.New(2, -1)
	m.who, err = m.CreateWorkshop(t.Context(), app.WorkshopDraft{
		Workshop: w, OwnerName: "Ada Fernwood", PriceRate: decimal.NewFromInt(1),
	})
	must1(t, err)
	today := domain.DateOf(morning)
	notional := decimal.New(notionalCents, -2)
	_, err = m.SetRates(t.Context(), m.who, cost.Rates{
		From: today.AddDays(-60), Labour: decimal.New(labourCents, -2), Notional: &notional,
		Overhead: decimal.New(overheadCents, -2),
	})
	must1(t, err)
	c := costsOf(t, m.App, m.who)
	m.jobs, m.people, m.parts = c.jobs, c.people, c.parts
	m.parties = []uuid.UUID{c.firm}
	m.weeks = []domain.Date{hours.WeekOf(today), hours.WeekOf(today).AddDays(-7)}
	for i, j := range m.jobs {
		m.pianos = append(m.pianos, &slowPiano{costs: map[string]int64{}})
		m.shelves = append(m.shelves, &slowPart{average: i == 1})
		var tasks []job.Task
		for _, task := range j.Tasks {
			if task.Line.CountedIn == "" {
				tasks = append(tasks, task)
			}
		}
		m.tasks = append(m.tasks, tasks[:3])
	}
	return m
}

func must1(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func cents(n int64) money.Amount { return money.FromMinor(n, money.MustCurrency("EUR")) }

func whole(n int64) *decimal.Decimal {
	d := decimal.NewFromInt(n)
	return &d
}

// draw draws what may happen next.
func (m *modelled) draw() event {
	piano, part := m.r.IntN(2), m.r.IntN(2)
	switch m.r.IntN(15) {
	case 0, 1:
		return m.receipt(part)
	case 2, 3:
		return m.issue(part, piano)
	case 4:
		return m.putBack()
	case 5:
		return m.countOrScrap(part)
	case 6:
		return m.reverseMove()
	case 7, 8:
		return m.work(piano)
	case 9:
		return m.approve()
	case 10:
		return m.takeBackHours()
	case 11:
		return m.outside(piano)
	case 12:
		return m.paper(piano)
	default:
		return m.trade(piano)
	}
}

func (m *modelled) moved(
	kind string, part int, takes int64, d stock.Draft, then func(stock.Move),
) event {
	d.Part, d.Note = m.parts[part], "so it is"
	return event{kind: kind, part: part, takes: takes, do: func(who app.Actor) (func(), error) {
		made, err := m.MoveStock(m.Context(), who, d)
		return func() {
			m.moves = append(m.moves, made)
			then(made)
		}, err
	}}
}

func (m *modelled) receipt(part int) event {
	n, value := 1+m.r.Int64N(9), 1+m.r.Int64N(9000)
	worth := cents(value)
	return m.moved("receipt", part, 0, stock.Draft{
		Kind: stock.Receipt, Quantity: whole(n), Value: &worth,
	}, func(made stock.Move) {
		p := m.shelves[part]
		p.last = slowLine{made.ID, n, value}
		p.receive(p.last)
	})
}

func (m *modelled) issue(part, piano int) event {
	n := 1 + m.r.Int64N(6)
	return m.moved("issue", part, n, stock.Draft{
		Kind: stock.Issue, Quantity: whole(n), Job: m.jobs[piano].ID,
		Operation: m.tasks[piano][m.r.IntN(3)].Operation,
	}, func(made stock.Move) {
		out := m.shelves[part].take(n)
		m.issues[made.ID] = &slowIssue{part: part, piano: piano, out: out, whole: true}
		m.pianos[piano].post("parts work", amountOf(out), true)
	})
}

// some draws one of a list, by a rule; false: there is none.
func some[T any](r *rand.Rand, list []T, fits func(T) bool) (T, bool) {
	list = slices.DeleteFunc(slices.Clone(list), func(x T) bool { return !fits(x) })
	if len(list) == 0 {
		var none T
		return none, false
	}
	return list[r.IntN(len(list))], true
}

var nothing = event{kind: "nothing", part: -1}

func (m *modelled) putBack() event {
	of, found := some(m.r, m.moves, func(x stock.Move) bool {
		return x.Kind == stock.Issue && piecesOf(m.issues[x.ID].out) > 0
	})
	if !found {
		return nothing
	}
	i := m.issues[of.ID]
	n := 1 + m.r.Int64N(piecesOf(i.out))
	return m.moved("return", i.part, 0, stock.Draft{
		Kind: stock.Return, Quantity: whole(n), Of: of.ID,
	}, func(stock.Move) {
		still, back := m.shelves[i.part].putBack(i.out, n)
		i.out, i.whole = still, false
		m.pianos[i.piano].post("parts work", -back, true)
	})
}

func (m *modelled) countOrScrap(part int) event {
	p := m.shelves[part]
	if n := m.r.Int64N(4); m.r.IntN(2) == 0 && n > 0 {
		return m.moved("scrap", part, n, stock.Draft{
			Kind: stock.Scrap, Quantity: whole(n), CountsAs: stock.NormalLoss,
		},
			func(stock.Move) { p.take(n) })
	}
	n := max(0, p.held()+m.r.Int64N(7)-3)
	return m.moved("count", part, 1000, stock.Draft{Kind: stock.Count, Quantity: whole(n)},
		func(made stock.Move) { p.count(made.ID, n) })
}

func (m *modelled) reverseMove() event {
	of, found := some(m.r, m.moves, func(x stock.Move) bool {
		return x.Kind == stock.Receipt || x.Kind == stock.Issue
	})
	if !found {
		return nothing
	}
	part := slices.Index(m.parts, of.Part)
	return m.moved("reversal of a "+string(of.Kind), part, 1000, stock.Draft{
		Kind: stock.Reversal, Of: of.ID,
	}, func(stock.Move) {
		p := m.shelves[part]
		if of.Kind == stock.Receipt {
			p.add(of.ID, -of.Quantity.IntPart(), -of.Value.Minor())
			return
		}
		i := m.issues[of.ID]
		if !i.whole {
			m.Errorf("an issue was reversed of which some had come back")
		}
		for _, l := range i.out {
			p.add(l.layer, l.pieces, l.amount)
		}
		m.pianos[i.piano].post("parts work", -amountOf(i.out), true)
		i.out = nil
	})
}

func (m *modelled) work(piano int) event {
	person, week := m.r.IntN(2), m.r.IntN(2)
	rework := []hours.Rework{"", "", hours.NormalRework, hours.AbnormalRework}[m.r.IntN(4)]
	minutes := 1 + m.r.IntN(200)
	e := hours.Entry{
		Person: m.people[person], Job: m.jobs[piano].ID,
		Operation: m.tasks[piano][m.r.IntN(3)].Operation, On: m.weeks[week], Minutes: minutes,
		Reason: "it was at hand", Note: "so it is", Correction: "forgotten", Rework: rework,
	}
	purpose := map[hours.Rework]string{
		"": "work", hours.NormalRework: "rework", hours.AbnormalRework: "abnormal_rework",
	}[rework]
	return event{kind: "hours", part: -1, do: func(who app.Actor) (func(), error) {
		made, err := m.EnterHours(m.Context(), who, app.HoursDraft{Entry: e, Duration: "#/minutes"})
		return func() {
			m.entries[made.ID] = &slowEntry{
				piano: piano, person: person, week: week, minutes: int64(minutes), purpose: purpose,
				origin: made.ID,
			}
		}, err
	}}
}

func (m *modelled) approve() event {
	person, week := m.r.IntN(2), m.r.IntN(2)
	return event{kind: "approval", part: -1, do: func(who app.Actor) (func(), error) {
		_, err := m.ApproveHours(m.Context(), who, app.WeekApproval{
			Person: m.people[person], Week: m.weeks[week],
		})
		return func() {
			for _, e := range m.entries {
				if e.person == person && e.week == week && !e.approved {
					before := m.posted(e.origin)
					e.approved = true
					m.costHours(e, before, m.posted(e.origin))
				}
			}
		}, err
	}}
}

// posted returns the minutes of an entry that are approved, less those taken back.
func (m *modelled) posted(origin uuid.UUID) int64 {
	n := int64(0)
	for _, e := range m.entries {
		if e.origin == origin && e.approved {
			n += e.minutes
		}
	}
	return n
}

// costHours posts what minutes cost more than they did.
func (m *modelled) costHours(e *slowEntry, before, after int64) {
	p := m.pianos[e.piano]
	labour, rate := "labour ", int64(labourCents)
	if e.person == 1 {
		labour, rate = "notional_labour ", notionalCents
	}
	p.post(labour+e.purpose, ofMinutes(after, rate)-ofMinutes(before, rate), true)
	p.post("overhead "+e.purpose,
		ofMinutes(after, overheadCents)-ofMinutes(before, overheadCents), true)
}

// ofMinutes returns what minutes cost, in cents; what is taken back may be approved first.
func ofMinutes(minutes, rate int64) int64 {
	if minutes < 0 {
		return -rounded(-minutes*rate, hour)
	}
	return rounded(minutes*rate, hour)
}

func (m *modelled) takeBackHours() event {
	ids := slices.SortedFunc(maps.Keys(m.entries), func(a, b uuid.UUID) int {
		return slices.Compare(a[:], b[:])
	})
	id, found := some(m.r, ids, func(id uuid.UUID) bool { return m.entries[id].origin == id })
	if !found {
		return nothing
	}
	of, minutes := *m.entries[id], 1+m.r.IntN(60)
	return event{kind: "hours back", part: -1, do: func(who app.Actor) (func(), error) {
		made, err := m.ReverseHours(m.Context(), who, app.HoursReversal{
			Entry: id, Minutes: minutes, Duration: "#/minutes", Why: "wrong",
		})
		return func() {
			of.minutes, of.approved = int64(-minutes), false
			m.entries[made.ID] = &of
		}, err
	}}
}

func (m *modelled) outside(piano int) event {
	sum := 1 + m.r.Int64N(90_000)
	d := cost.Document{
		Kind: steps[m.r.IntN(3)], Job: m.jobs[piano].ID, Party: m.parties[0], Reference: "bill",
		Operation: m.tasks[piano][m.r.IntN(3)].Operation, Amount: cents(sum),
	}
	next := &slowDocument{posts: map[string]int64{}}
	if d.Kind != cost.OutsideAgreed {
		next.posts["outside_work work"] = sum
	}
	of, found := some(m.r, m.papers, func(p paper) bool { return slices.Contains(steps, p.made.Kind) })
	if found && m.r.IntN(2) == 0 {
		piano, next.of = of.piano, of.slowDocument
		d.Of, d.Job, d.Operation = of.id, of.made.Job, of.made.Operation
	}
	return event{kind: "outside work", part: -1, do: func(who app.Actor) (func(), error) {
		made, err := m.RecordOutsideWork(m.Context(), who, d)
		return func() { m.file(piano, made, next) }, err
	}}
}

func (m *modelled) file(piano int, made cost.Document, d *slowDocument) {
	m.pianos[piano].postAll(d, 1)
	m.papers = append(m.papers, paper{made.ID, piano, d, made})
}

// paper is another cost, a purchase, or the reversal of a document.
func (m *modelled) paper(piano int) event {
	sum := 1 + m.r.Int64N(90_000)
	switch m.r.IntN(3) {
	case 0:
		of, found := some(m.r, m.papers, func(paper) bool { return true })
		if !found {
			return nothing
		}
		return event{kind: "reversal of a document", part: -1, do: func(who app.Actor) (func(), error) {
			_, err := m.ReverseCost(m.Context(), who, of.id, "wrong")
			return func() {
				p := m.pianos[of.piano]
				p.postAll(of.slowDocument, -1)
				if p.bought == of.slowDocument {
					p.bought = nil
				}
			}, err
		}}
	case 1:
		premium, price := m.r.Int64N(9_000), cents(sum)
		return event{kind: "purchase", part: -1, do: func(who app.Actor) (func(), error) {
			made, err := m.BuyInstrument(m.Context(), who, cost.Purchase{
				Document: cost.Document{Instrument: m.jobs[piano].Instrument}, Price: &price,
				Premium: cents(premium), Transport: cents(500), Duty: cents(0),
			})
			return func() {
				d := &slowDocument{margin: sum + premium, posts: map[string]int64{
					"purchase_price acquisition": sum, "buyers_premium acquisition": premium,
					"transport_in acquisition": 500,
				}}
				m.pianos[piano].bought = d
				m.file(piano, made, d)
			}, err
		}}
	}
	purpose := cost.Purposes[m.r.IntN(len(cost.Purposes))]
	return event{kind: "other cost", part: -1, do: func(who app.Actor) (func(), error) {
		made, err := m.RecordOtherCost(m.Context(), who, cost.OtherDraft{
			Kind: cost.Other, Document: cost.Document{
				Instrument: m.jobs[piano].Instrument, Job: m.jobs[piano].ID, Purpose: purpose,
				Amount: cents(sum), Note: "so it is",
			},
		})
		return func() {
			m.file(piano, made, &slowDocument{posts: map[string]int64{"other " + string(purpose): sum}})
		}, err
	}}
}

// trade sells a piano, or takes it back where it is sold.
func (m *modelled) trade(piano int) event {
	p, sum := m.pianos[piano], 100+m.r.Int64N(200_000)
	if p.sold != nil && m.r.IntN(3) > 0 {
		id, stays := m.sales[piano], min(m.r.Int64N(2000), max(0, p.landed-p.stays))
		return event{kind: "return of a sale", part: -1, do: func(who app.Actor) (func(), error) {
			_, err := m.TakeBack(m.Context(), who, id, sale.ReturnDraft{
				CostStays: cents(stays), Note: "too large for the room",
			})
			return func() { p.sold, p.stays = nil, p.stays+stays }, err
		}}
	}
	regime := []domain.TaxRegime{domain.MarginTax, domain.StandardTax}[m.r.IntN(2)]
	return event{kind: "sale", part: -1, do: func(who app.Actor) (func(), error) {
		made, err := m.SellInstrument(m.Context(), who, sale.Sale{
			Instrument: m.jobs[piano].Instrument, Buyer: m.parties[0], Price: cents(sum), Regime: regime,
		})
		return func() {
			if regime == domain.MarginTax && p.bought == nil || p.sold != nil {
				m.Errorf("sold on a margin from %v, while it was sold: %v", p.bought, p.sold)
				return
			}
			if got := made.Sale.Carrying; got != cents(p.carrying()) {
				m.Errorf("sold at a cost of %s, the model says %s", got, cents(p.carrying()))
			}
			base := sum
			if regime == domain.MarginTax {
				base = max(0, sum-p.bought.margin)
			}
			p.sold = &slowSale{price: sum, tax: rounded(base, 6)} // 20 % within it
			m.sales[piano] = made.Sale.ID
		}, err
	}}
}

// Two things happen at once, again and again: parts are received, issued, returned, counted,
// scrapped and reversed, hours entered, taken back and approved, outside work agreed, accrued and
// billed, costs and purchases entered and reversed, pianos sold and taken back. After each pair
// everything stands as in a slow model to which the same was told in the order of the feed; what
// was refused has left nothing.
func TestWhatThingsCostIsWhatASlowModelSays(t *testing.T) {
	t.Parallel()
	n := *pairs
	if testing.Short() {
		n /= 3
	}
	m := modelledShop(t)
	for i := range n {
		m.pair(i)
		m.compare()
		if i%10 == 9 || i == n-1 {
			m.compareTold()
		}
		if t.Failed() {
			t.Fatalf("after pair %d with -pairs-seed %d", i, *pairsSeed)
		}
	}
	if m.taken["nothing"]*3 > n || len(m.taken) < min(n/4, 12) {
		t.Errorf("too little happened: %v", m.taken)
	}
	t.Logf("happened: %v", m.taken)
}

// pair has two things happen at once, and tells them to the model in the order of the feed.
func (m *modelled) pair(n int) {
	m.Helper()
	both := []event{m.draw(), m.draw()}
	held := []int64{m.shelves[0].held(), m.shelves[1].held()}
	applies, errs := make([]func(), 2), make([]error, 2)
	var wg sync.WaitGroup
	for i, e := range both {
		if e.do == nil {
			continue
		}
		wg.Go(func() {
			who := m.who
			who.RequestID = fmt.Sprintf("pair %d %d", n, i)
			applies[i], errs[i] = e.do(who)
		})
	}
	wg.Wait()
	order := map[int]int64{}
	for i, e := range both {
		switch kind := faultKind(errs[i]); {
		case e.do == nil:
			m.taken["nothing"]++
		case errs[i] == nil:
			order[i] = m.position(fmt.Sprintf("pair %d %d", n, i))
			m.taken[e.kind]++
		case kind != domain.Conflict && kind != domain.Invalid:
			m.Errorf("%s: refused with %v", e.kind, errs[i])
		case e.kind == "issue" || e.kind == "scrap":
			other := both[1-i]
			gone := int64(0)
			if other.part == e.part {
				gone = other.takes
			}
			if held[e.part]-gone >= e.takes {
				m.Errorf("%s of %d out of %d: refused with %v", e.kind, e.takes, held[e.part], errs[i])
			}
		}
	}
	for _, i := range slices.SortedFunc(maps.Keys(order), func(a, b int) int {
		return int(order[a] - order[b])
	}) {
		applies[i]()
	}
}

// position returns where in the feed a request stands.
func (m *modelled) position(request string) int64 {
	m.Helper()
	var at int64
	if err := m.db.QueryRow(m.Context(), `SELECT min(position) FROM events WHERE request_id = $1`,
		request).Scan(&at); err != nil {
		m.Fatalf("%s isn't in the feed: %v", request, err)
	}
	return at
}

// compare compares what is kept with the model.
func (m *modelled) compare() {
	m.Helper()
	read := m.Read(m.Context(), m.who)
	parts, err := read.Stock(m.Context(), postgres.Whole)
	must1(m.T, err)
	for _, p := range parts {
		want := m.shelves[slices.Index(m.parts, p.Versioned.Value.ID)]
		if !p.Quantity.Equal(decimal.NewFromInt(want.held())) || p.Value.Minor() != want.pool {
			m.Errorf("%s: %s are in stock for %s, the model says %d for %s", p.Versioned.Value.Code, p.Quantity,
				p.Value, want.held(), cents(want.pool))
		}
		if (want.held() == 0) != (want.pool == 0) && want.held() == 0 {
			m.Errorf("nothing is in stock for %s", cents(want.pool))
		}
	}
	for i, j := range m.jobs {
		totals, err := read.CostTotals(m.Context(), j.Instrument)
		must1(m.T, err)
		got := map[string]int64{}
		for _, x := range totals {
			got[fmt.Sprintf("%s %s", x.Kind, x.Purpose)] += x.Amount.Minor()
		}
		want := maps.Clone(m.pianos[i].costs)
		for _, list := range []map[string]int64{got, want} {
			maps.DeleteFunc(list, func(_ string, n int64) bool { return n == 0 })
		}
		if !maps.Equal(got, want) {
			m.Errorf("piano %d has cost %v, the model says %v", i, got, want)
		}
	}
}

// compareTold compares what is told of costs, sales and the shop with the model.
func (m *modelled) compareTold() {
	m.Helper()
	inWork := int64(0)
	for i, j := range m.jobs {
		p := m.pianos[i]
		c, err := m.InstrumentCost(m.Context(), m.who, j.Instrument)
		must1(m.T, err)
		o, err := m.Outcome(m.Context(), m.who, j.Instrument)
		must1(m.T, err)
		all, net, tax := int64(0), int64(0), int64(0)
		for _, n := range p.costs {
			all += n
		}
		if p.sold != nil {
			net, tax = p.sold.price-p.sold.tax, p.sold.tax
		} else {
			inWork += p.job
		}
		sold := p.landed - p.carrying()
		if want := (cost.Views{Inventory: cents(p.landed), Management: cents(all)}); c.Spent != want {
			m.Errorf("piano %d: %+v is spent, the model says %+v", i, c.Spent, want)
		}
		a := o.Account
		for what, x := range map[string][2]money.Amount{
			"landed": {a.Landed, cents(p.landed)}, "carrying": {a.Carrying, cents(p.carrying())},
			"cost of sales": {a.CostOfSales, cents(sold)}, "tax": {a.Tax, cents(tax)},
			"net sales": {a.NetSales, cents(net)}, "margin": {a.Margin, cents(net - sold)},
			"expenses": {a.Selling.Add(a.Other), cents(all - p.landed)},
		} {
			if x[0] != x[1] {
				m.Errorf("piano %d: %s is %s, the model says %s", i, what, x[0], x[1])
			}
		}
	}
	w, err := m.WorkInProgress(m.Context(), m.who, domain.Date{})
	must1(m.T, err)
	if w.Posted != cents(inWork) || w.Known != cents(inWork) {
		m.Errorf("%s and %s are in progress, the model says %s", w.Posted, w.Known, cents(inWork))
	}
	var gaps int
	must1(m.T, m.db.QueryRow(m.Context(),
		`SELECT max(position) - count(*) FROM events`).Scan(&gaps))
	if gaps != 0 {
		m.Errorf("%d positions of the feed are missing", gaps)
	}
}
