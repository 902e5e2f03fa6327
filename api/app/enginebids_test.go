package app_test

import (
	"encoding/hex"
	"encoding/json"
	"slices"
	"testing"
	"time"

	"bentside/api/app"
	"bentside/api/demo"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/plan"
	"bentside/domain/scope"
	"bentside/domain/stock"
	"bentside/domain/supply"
	"bentside/domain/survey"
	"bentside/pricing/money"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// keptDocuments are the documents of a bid or a plan.
type keptDocuments struct {
	name           string
	inputs, result []byte
	catalogues     [][]byte
}

// kinds are the bids kept for a version, in the order in which they are made. Each is asked of the
// demo's workshop as the earlier ones left it.
var kinds = []struct {
	name string
	make func(m *maker) app.BidRequest
}{
	{"purchase", (*maker).purchase},
	{"auction", (*maker).auction},
	{"stopped", (*maker).stopped},
	{"part_exchange", (*maker).partExchange},
	{"donor", (*maker).donor},
	{"consigned", (*maker).consigned},
	{"upright", (*maker).upright},
	{"nobody_looked", (*maker).nobodyLooked},
}

// everyKind returns the sorted names of everything kept for a version.
func everyKind() []string {
	names := []string{planName}
	for _, k := range kinds {
		names = append(names, k.name)
	}
	slices.Sort(names)
	return names
}

// maker makes bids and a plan through the use cases.
type maker struct {
	*testing.T
	app   *app.App
	story toldStory
	since time.Duration // since the story's morning
}

func makeEveryKind(t *testing.T) []keptDocuments {
	t.Helper()
	m := &maker{T: t}
	m.app, m.story = toldBy(t, func() time.Duration { return m.since })
	var all []keptDocuments
	for _, k := range kinds {
		b, err := m.app.WorkOutBid(t.Context(), m.story.Owner, k.make(m))
		if err != nil {
			t.Fatalf("work out %s: %v", k.name, err)
		}
		d := keptDocuments{
			name: k.name, inputs: m.document(b.Bid.Inputs),
			result: m.document(b.Bid.Result),
		}
		d.catalogues = append(d.catalogues, m.catalogue(b.Inputs.Catalogue))
		all = append(all, d)
	}
	return append(all, m.plan())
}

func (m *maker) document(hash postgres.Hash) []byte {
	m.Helper()
	b, err := m.app.Read(m.Context(), m.story.Owner).Document(m.Context(), hash)
	if err != nil {
		m.Fatal(err)
	}
	return b
}

func (m *maker) catalogue(hash string) []byte {
	m.Helper()
	b, err := hex.DecodeString(hash)
	if err != nil {
		m.Fatal(err)
	}
	return m.document(postgres.Hash(b))
}

// ok fails the test on an error.
func (m *maker) ok(err error) {
	m.Helper()
	if err != nil {
		m.Fatal(err)
	}
}

// asked returns the demo's question about its grand, for one depth.
func (m *maker) asked(depth catalogue.Depth) app.BidRequest {
	q := m.story.Bid.Inputs.Asked
	q.Ways = slices.DeleteFunc(slices.Clone(q.Ways),
		func(w bid.Way) bool { return w.Depth != depth })
	return app.BidRequest{Instrument: m.story.Candidate.ID, Survey: m.story.Survey.ID, Asked: q}
}

// purchase asks about all three depths.
func (m *maker) purchase() app.BidRequest {
	q := m.asked(catalogue.Restore)
	q.Asked.Ways = m.story.Bid.Inputs.Asked.Ways
	return q
}

// auction asks with a premium, steps in bands and a duty, while jobs in progress and the drying
// room are held up. The buyer overrides the scope with an edit of every kind.
func (m *maker) auction() app.BidRequest {
	m.holdUp()
	q := m.asked(catalogue.Restore)
	q.Asked.Duty, q.Asked.PremiumShare = dec("75.00"), decimal.Zero
	q.Asked.Premium = []bid.PremiumBand{
		{Share: dec("0.25")},
		{From: dec("2000"), Share: dec("0.2")},
		{From: dec("5000"), Share: dec("0.12")},
	}
	q.Asked.Steps = []bid.StepBand{
		{Step: dec("20")},
		{From: dec("1000"), Step: dec("50")},
		{From: dec("3000"), Step: dec("100")},
	}
	way := &q.Asked.Ways[0]
	way.DaysOnFloor = ptr(60)
	way.Edits = []scope.Edit{
		{
			Kind: scope.SetHours, Operation: "BD-02", Hours: ptr(three("20", "26", "40")),
			Why: "plain",
		},
		{Kind: scope.SetMaking, Operation: "FR-03", Making: catalogue.Outside, Why: "gilder ill"},
		{Kind: scope.SetChance, Operation: "BD-08", Chance: ptr(dec("0.35")), Why: "none seen"},
		{
			Kind: scope.SetQuantity, Operation: "KY-01", Quantity: ptr(dec("30")),
			Why: "treble only",
		},
		{Kind: scope.TakeOption, Group: "FINISH", Option: "shellac", Why: "asked for by a buyer"},
		{Kind: scope.AddOperation, Operation: "KY-05", Why: "two sharps are chipped"},
		{Kind: scope.RemoveOperation, Operation: "CS-10", Why: "the fittings shine"},
	}
	return q
}

// holdUp advances to the next morning, suspends one job and a task of another, begins one task in
// order and one before its time, finishes one, and takes the drying room out of use.
func (m *maker) holdUp() {
	m.Helper()
	m.since += 24 * time.Hour
	ctx, owner, april := m.Context(), m.story.Owner,
		domain.Date{Year: 2026, Month: time.April, Day: 1}
	jobs, err := m.app.Read(ctx, owner).Jobs(ctx, false, postgres.Whole)
	m.ok(err)
	first, second, third := jobs[0].Value, jobs[1].Value, jobs[2].Value
	_, err = m.app.Suspend(ctx, owner, second.ID,
		job.Suspension{Why: "its owner thinks it over", Until: april})
	m.ok(err)
	_, err = m.app.Suspend(ctx, owner, first.ID, job.Suspension{
		Operation: open(first)[1], Why: "the leaf is out of stock", Until: april,
		KeepsStation: true,
	})
	m.ok(err)
	people, err := m.app.Read(ctx, owner).People(ctx, postgres.Whole)
	m.ok(err)
	hand := people[0].Value.ID
	_, err = m.app.RecordProgress(ctx, owner, first.ID,
		job.Progress{
			Operation: open(first)[0], Minutes: 60, Person: hand, Left: dec("2.5"),
			Reason: "the bench was free",
		})
	m.ok(err)
	now, err := m.app.RecordProgress(ctx, owner, third.ID,
		job.Progress{Operation: open(third)[0], Minutes: 120, Person: hand, Finished: true})
	m.ok(err)
	of, err := m.app.Catalogue(ctx, owner)
	m.ok(err)
	next := slices.IndexFunc(now.Value.Tasks, func(t job.Task) bool {
		return t.Open() && len(now.Value.Ahead(of.Catalogue, t.Operation)) == 0
	})
	_, err = m.app.RecordProgress(ctx, owner, third.ID, job.Progress{
		Operation: now.Value.Tasks[next].Operation, Minutes: 60, Person: hand, Left: dec("2"),
	})
	m.ok(err)
	stations, err := m.app.Read(ctx, owner).Stations(ctx, postgres.Whole)
	m.ok(err)
	for _, s := range stations {
		if s.Value.Name == "drying room" {
			_, err := m.app.AddAbsence(ctx, owner, domain.Absence{
				Station: s.Value.ID, First: demo.Today.AddDays(3), Last: demo.Today.AddDays(20),
				Why: "its heater is replaced",
			})
			m.ok(err)
		}
	}
}

// open returns the operations of a job that aren't finished, in its order.
func open(j job.Job) []catalogue.Code {
	var codes []catalogue.Code
	for _, t := range j.Tasks {
		if t.Open() {
			codes = append(codes, t.Operation)
		}
	}
	return codes
}

// stopped asks about a second grand like the story's, whose ivory has no papers.
func (m *maker) stopped() app.BidRequest {
	m.Helper()
	q := m.asked(catalogue.AsFound)
	second := m.story.Candidate
	second.ID, second.Serial = uuid.Nil, "41878"
	i, err := m.app.AddInstrument(m.Context(), m.story.Owner, second)
	m.ok(err)
	findings := slices.Clone(m.story.Bid.Inputs.Findings)
	for n := range findings {
		findings[n].ID = uuid.Nil
	}
	v, err := m.app.TakeSurvey(m.Context(), m.story.Owner, survey.Survey{
		Instrument: i.Value.ID, TakenOn: demo.Today, TakenBy: "M. Kielbach", Findings: findings,
	})
	m.ok(err)
	q.Instrument, q.Survey = i.Value.ID, v.Value.ID
	return q
}

func (m *maker) partExchange() app.BidRequest {
	q := m.asked(catalogue.AsFound)
	q.Asked.Form, q.Asked.OtherSale = bid.PartExchange,
		&bid.OtherSale{Price: dec("21500.00"), Paid: dec("9800.00")}
	q.Asked.Ways[0].Defects = []bid.Defect{
		{Name: "shabby case", Point: "SV-50", Off: three("100", "250", "400")},
		{Name: "a smell of smoke", Off: three("0", "50", "200")},
	}
	return q
}

func (m *maker) donor() app.BidRequest {
	q := m.asked("")
	q.Asked.Form = bid.DonorOfParts
	q.Asked.Donor = &bid.Donor{
		Parts: []bid.DonorPart{
			{Name: "lyre", Worth: three("150", "220", "300"), Usable: dec("0.9")},
			{Name: "legs", Worth: three("200", "450", "600"), Usable: dec("0.75")},
			{Name: "frame bolts", Worth: three("20", "30", "45"), Usable: dec("1")},
		},
		Hours: three("6", "9", "14"), Skill: "general", Disposal: dec("120.00"), Days: 200,
	}
	return q
}

// consigned asks about a sale on consignment, by a workshop that pays tax on the full price.
func (m *maker) consigned() app.BidRequest {
	m.settings(func(t *domain.Terms) { t.TaxRegime, t.TaxRate = domain.StandardTax, dec("0.21") })
	q := m.asked(catalogue.Recondition)
	q.Asked.Form, q.Asked.Consignment = bid.Consigned,
		&bid.Consignment{OwnerBears: dec("1500.00")}
	return q
}

// upright asks about an upright whose owner names a price, with odds that differ by point and no
// tax.
func (m *maker) upright() app.BidRequest {
	m.settings(func(t *domain.Terms) {
		t.TaxRegime, t.TaxRate = domain.NoTax, decimal.Zero
		t.UnknownOdds.Points = map[catalogue.PointCode]domain.Odds{
			"SV-11": {Sound: dec("0.3"), Attention: dec("0.5"), MustAct: dec("0.2")},
			"SV-29": {Sound: dec("0.97"), MustAct: dec("0.03")},
		}
	})
	return m.unseen([]survey.Finding{
		{Point: "SV-33", Where: "note 40", Value: ptr(dec("11"))},
		{Point: "SV-16", Value: ptr(dec("1"))},
		{Point: "SV-42", Answer: "celluloid"},
		{Point: "SV-50", Value: ptr(dec("2"))},
	}, catalogue.AsFound, catalogue.Recondition)
}

// nobodyLooked asks about an upright with an empty survey.
func (m *maker) nobodyLooked() app.BidRequest { return m.unseen(nil, catalogue.Recondition) }

// unseen asks about an upright with few findings, at each of some depths.
func (m *maker) unseen(findings []survey.Finding, depths ...catalogue.Depth) app.BidRequest {
	m.Helper()
	ctx, owner := m.Context(), m.story.Owner
	i, err := m.app.AddInstrument(ctx, owner, instrument.Instrument{
		Kind: catalogue.Upright, Maker: "Hartvig & Sohn", Year: 1928, SizeMM: 1320, Notes: 88,
		Owner: instrument.Offered,
	})
	m.ok(err)
	v, err := m.app.TakeSurvey(ctx, owner, survey.Survey{
		Instrument: i.Value.ID, TakenOn: demo.Today, TakenBy: "M. Kielbach", Findings: findings,
	})
	m.ok(err)
	q := app.BidRequest{Instrument: i.Value.ID, Survey: v.Value.ID, Asked: bid.Question{
		TransportIn: dec("160.00"), SellerAsks: ptr(dec("300.00")),
	}}
	for n, d := range depths {
		price := dec("2400.00").Mul(decimal.NewFromInt(int64(n + 1)))
		q.Asked.Ways = append(q.Asked.Ways, bid.Way{Depth: d, SalePrice: price})
	}
	return q
}

// settings changes the terms of the workshop.
func (m *maker) settings(change func(*domain.Terms)) {
	m.Helper()
	w, err := m.app.Read(m.Context(), m.story.Owner).Workshop(m.Context())
	m.ok(err)
	change(&w.Value.Terms)
	_, err = m.app.ChangeWorkshop(m.Context(), m.story.Owner, w.Value, w.Version)
	m.ok(err)
}

// plan plans the whole shop, as the bids left it, with a promise to keep.
func (m *maker) plan() keptDocuments {
	m.Helper()
	ctx, owner := m.Context(), m.story.Owner
	jobs, err := m.app.Read(ctx, owner).Jobs(ctx, false, postgres.Whole)
	m.ok(err)
	_, _, err = m.app.Promise(ctx, owner,
		job.Promise{Job: jobs[0].Value.ID, For: "in the showroom", Due: demo.Today.AddDays(45)})
	m.ok(err)
	m.hammers(jobs[2].Value.ID)
	p, err := m.app.MakePlan(ctx, owner,
		app.PlanRequest{Schedules: 200, Seed: 7, Limit: time.Minute})
	m.ok(err)
	d := keptDocuments{
		name: planName, inputs: m.document(p.Inputs),
		result: m.document(p.Plan.Result),
	}
	var in plan.Inputs
	m.ok(json.Unmarshal(d.inputs, &in))
	for _, j := range in.Jobs {
		d.catalogues = append(d.catalogues, m.catalogue(j.Catalogue))
	}
	return d
}

// hammers orders hammers for a job, late; those of the other jobs nobody has ordered.
func (m *maker) hammers(j uuid.UUID) {
	m.Helper()
	ctx, owner := m.Context(), m.story.Owner
	firm, err := m.app.AddParty(ctx, owner, domain.Party{Name: "Felt & Wire"})
	m.ok(err)
	class, err := m.app.AddPartClass(ctx, owner, stock.Class{Name: "parts", Method: valuation.FIFO})
	m.ok(err)
	part, err := m.app.AddPart(ctx, owner, stock.Part{
		Code: "H-1", Name: "hammers", Class: class.Value.ID, Unit: "piece",
		Serves: []stock.Served{{
			Operation: "AC-06", Material: "hammers to sample, bored and tailed", Units: dec("1"),
		}},
	})
	m.ok(err)
	o := supply.Order{Supplier: firm.Value.ID, Expected: demo.Today.AddDays(20), Reference: "H-12"}
	o.Currency = money.MustCurrency(m.story.Bid.Inputs.Workshop.Terms.Currency)
	o.Lines = []supply.Line{{
		Part: part.Value.ID, Quantity: dec("88"), Price: money.FromMinor(48000, o.Currency),
		Job: j, Operation: "AC-06",
	}}
	made, err := m.app.PlaceOrder(ctx, owner, o)
	m.ok(err)
	_, err = m.app.ExpectOrder(ctx, owner, supply.NewDay{
		Order: made.Value.ID, Expected: demo.Today.AddDays(76), Reason: "no felt to be had",
	})
	m.ok(err)
}

func dec(s string) decimal.Decimal { return decimal.RequireFromString(s) }

func three(low, likely, high string) catalogue.ThreePoint {
	return catalogue.ThreePoint{Low: dec(low), Likely: dec(likely), High: dec(high)}
}

func ptr[T any](v T) *T { return &v }
