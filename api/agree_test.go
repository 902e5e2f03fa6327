package api_test

import (
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

// offer is a client's grand with two scopes that can be quoted for.
type offer struct {
	*client // the manager
	tb      testing.TB
	party   openapi.Party
	light   openapi.Scope
	deep    openapi.Scope
	today   string
}

func offerOf(tb testing.TB, manager *client) offer {
	tb.Helper()
	party, light := clientsGrand(tb, manager)
	o := offer{
		client: manager, tb: tb, party: party, light: light,
		today: domain.DateOf(light.CreatedAt).String(),
	}
	o.deep = o.scope("restore")
	return o
}

func (o offer) at() string { return "/v1/instruments/" + o.light.Instrument.String() }

// scope draws one more scope of the grand.
func (o offer) scope(depth string) openapi.Scope {
	o.tb.Helper()
	return want[openapi.Scope](o.tb, o.do(http.MethodPost, o.at()+"/scopes", map[string]any{
		"survey": o.light.Survey, "depth": depth,
	}), http.StatusCreated)
}

// quote offers scopes as options of one quotation.
func (o offer) quote(scopes ...openapi.Scope) answer {
	o.tb.Helper()
	return o.quoteInstead(nil, scopes...)
}

// quoteInstead offers scopes in place of open quotations.
func (o offer) quoteInstead(of []any, scopes ...openapi.Scope) answer {
	o.tb.Helper()
	options := make([]any, len(scopes))
	for i, s := range scopes {
		options[i] = map[string]any{
			"scope": s.ID, "title": "the work at " + string(s.Depth), "net": amount("4200.00"),
			"tax_rate": "0.23",
		}
	}
	body := map[string]any{
		"party": o.party.ID, "deposit": amount("500.00"), "options": options,
		"valid_until": domain.DateOf(o.light.CreatedAt).AddDays(30).String(),
	}
	if len(of) > 0 {
		body["replaces"] = of
	}
	return o.do(http.MethodPost, o.at()+"/quotations", body)
}

func (o offer) quoted(scopes ...openapi.Scope) openapi.Quotation {
	o.tb.Helper()
	return want[openapi.Quotation](o.tb, o.quote(scopes...), http.StatusCreated)
}

func (o offer) yes(q openapi.Quotation, option int) answer {
	return o.do(http.MethodPost, "/v1/quotations/"+q.ID.String()+"/answer", map[string]any{
		"accepted": true, "option": option, "on": o.today,
	})
}

func (o offer) job(scope openapi.Scope, consent map[string]any) answer {
	body := map[string]any{"scope": scope.ID, "accepted_on": o.today}
	if consent != nil {
		body["consent"] = consent
	}
	return o.do(http.MethodPost, "/v1/jobs", body)
}

func (o offer) consent() map[string]any {
	return map[string]any{
		"party": o.party.ID, "given_on": o.today, "how": "on the telephone, to Ada Fernwood",
		"to": "restoring it after all, at the price of the second option",
	}
}

func (o offer) jobs() []openapi.Job {
	o.tb.Helper()
	return want[openapi.JobPage](o.tb, o.do(http.MethodGet, "/v1/jobs", nil), http.StatusOK).Items
}

func (o offer) closed(j openapi.ID) {
	o.tb.Helper()
	want[openapi.Job](o.tb, o.do(http.MethodPost, "/v1/jobs/"+j.String()+"/closing", map[string]any{
		"outcome": "abandoned", "closed_on": o.today, "why": "the client thought better of it",
	}), http.StatusOK)
}

// wantConflict fails the test unless an answer is a conflict whose text and reasons hold each of
// some words.
func wantConflict(tb testing.TB, a answer, words ...string) {
	tb.Helper()
	p := wantProblem(tb, a, http.StatusConflict, "conflict")
	text := p.Detail + " " + strings.Join(p.Chain, " ")
	for _, w := range words {
		if !strings.Contains(text, w) {
			tb.Errorf("got %q, want %q in it", text, w)
		}
	}
}

// The client's yes makes the job: nobody can forget to put it under way, or put another one.
func TestAYesToAQuotationIsTheJob(t *testing.T) {
	t.Parallel()
	o := offerOf(t, openShop(t).as(domain.Manager))
	q := o.quoted(o.light, o.deep)
	answered := want[openapi.Quotation](t, o.yes(q, 2), http.StatusCreated)
	jobs := o.jobs()
	if len(jobs) != 1 || jobs[0].ID != answered.Job || jobs[0].Scope != o.deep.ID ||
		jobs[0].AcceptedOn != o.today {
		t.Fatalf("the quotation names %s; the jobs are %+v, want the second option's", answered.Job, jobs)
	}
	shown := want[openapi.Job](t, o.do(http.MethodGet, "/v1/jobs/"+answered.Job.String(), nil),
		http.StatusOK)
	if shown.Quotation != q.ID || shown.Consent != nil {
		t.Errorf("the job rests on %s and %+v, want the quotation", shown.Quotation, shown.Consent)
	}
	wantConflict(t, o.yes(q, 1), "accepted already")
	wantConflict(t, o.job(o.deep, nil), "job already", answered.Job.String())
	wantConflict(t, o.job(o.light, o.consent()), "another job is open", answered.Job.String())
	wantConflict(t, o.yes(o.quoted(o.light), 1), "another job is open", answered.Job.String())
	refused := wantProblem(t, o.quote(o.light, o.deep), http.StatusUnprocessableEntity, "validation")
	if pointersIn(refused) != "options/1/scope replaces" ||
		!strings.Contains(refused.Errors[0].Detail, answered.Job.String()) {
		t.Errorf("quoting a scope that is a job already: got %+v", refused.Errors)
	}
	if got := len(o.jobs()); got != 1 {
		t.Errorf("%d jobs, want one still", got)
	}
}

// What keeps the job from being made keeps the yes from being recorded, so that the two can't say
// different things.
func TestAYesThatCannotBeTheJobIsNotRecorded(t *testing.T) {
	t.Parallel()
	o := offerOf(t, openShop(t).as(domain.Manager))
	q := o.quoted(o.light)
	wider := map[string]any{"edits": []any{map[string]any{"kind": "add", "operation": "CS-10"}}}
	want[openapi.Scope](t, o.do(http.MethodPut, "/v1/scopes/"+o.light.ID.String()+"/edits", wider,
		`If-Match: "v1"`), http.StatusOK)
	wantConflict(t, o.yes(q, 1), "edited after it was quoted")
	cracked := want[openapi.Finding](t, o.do(http.MethodPost,
		"/v1/surveys/"+o.light.Survey.String()+"/findings",
		map[string]any{"point": "SV-29", "flag": true}), http.StatusCreated)
	again := want[openapi.Quotation](t, o.quoteInstead([]any{q.ID}, o.light), http.StatusCreated)
	wantConflict(t, o.yes(again, 1), "can't be accepted")
	if now := want[openapi.Quotation](t,
		o.do(http.MethodGet, "/v1/quotations/"+again.ID.String(), nil),
		http.StatusOK); now.State != "open" {
		t.Errorf("the quotation is %s, want it open (%s)", now.State, cracked.ID)
	}
	if got := o.jobs(); len(got) != 0 {
		t.Errorf("got the jobs %+v, want none", got)
	}
}

// Nothing is done to a client's piano beyond what they agreed to.
func TestWorkOnAClientsPianoNeedsTheClientsRecordedWord(t *testing.T) {
	t.Parallel()
	o := offerOf(t, openShop(t).as(domain.Manager))
	wantConflict(t, o.job(o.light, nil), "consent", "no quotation")
	first := want[openapi.Quotation](t, o.yes(o.quoted(o.light), 1), http.StatusCreated)
	o.closed(first.Job)
	wantConflict(t, o.job(o.deep, nil), "consent")
	for pointer, change := range map[string]map[string]any{
		"#/consent/given_on": {"given_on": domain.DateOf(o.light.CreatedAt).AddDays(1).String()},
		"#/consent/party":    {"party": newID(t)},
		"#/consent/how":      {"how": ""},
		"#/consent/to":       {"to": ""},
	} {
		p := wantProblem(t, o.job(o.deep, with(o.consent(), change)),
			http.StatusUnprocessableEntity, "validation")
		if len(p.Errors) != 1 || p.Errors[0].Pointer != pointer {
			t.Errorf("got %+v, want a fault at %s", p.Errors, pointer)
		}
	}
	j := want[openapi.Job](t, o.job(o.deep, o.consent()), http.StatusCreated)
	c := j.Consent
	if c == nil || c.Party != o.party.ID || c.GivenOn != o.today || c.ScopeVersion != o.deep.Version ||
		c.How != o.consent()["how"] || c.To != o.consent()["to"] {
		t.Errorf("the job shows the consent %+v, want who, when, how and to what", c)
	}
	i, s := surveyed(t, o.client)
	ours := want[openapi.Scope](t, o.do(http.MethodPost, "/v1/instruments/"+i.ID.String()+"/scopes",
		map[string]any{"survey": s.ID, "depth": "recondition"}), http.StatusCreated)
	if p := wantProblem(t, o.job(ours, o.consent()), http.StatusUnprocessableEntity,
		"validation"); p.Errors[0].Pointer != "#/consent" {
		t.Errorf("a client's word for a piano that is nobody's: got %+v", p.Errors)
	}
}

// Two people who say it at once do it once, and whoever comes second is told.
func TestOfTwoWhoPutAClientsPianoUnderWayAtOnceOneDoes(t *testing.T) {
	t.Parallel()
	for name, acts := range map[string]func(o offer) []func() answer{
		"one quotation, accepted twice": func(o offer) []func() answer {
			q := o.quoted(o.light, o.deep)
			return []func() answer{
				func() answer { return o.yes(q, 1) }, func() answer { return o.yes(q, 2) },
				func() answer { return o.yes(q, 1) },
			}
		},
		"two quotations for one piano": func(o offer) []func() answer {
			a, b := o.quoted(o.light), o.quoted(o.deep)
			return []func() answer{
				func() answer { return o.yes(a, 1) }, func() answer { return o.yes(b, 1) },
			}
		},
		"a quotation and a word": func(o offer) []func() answer {
			q := o.quoted(o.light)
			return []func() answer{
				func() answer { return o.yes(q, 1) },
				func() answer { return o.job(o.deep, o.consent()) },
			}
		},
		"one scope": func(o offer) []func() answer {
			again := func() answer { return o.job(o.deep, o.consent()) }
			return []func() answer{again, again, again}
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			o := offerOf(t, openShop(t).as(domain.Manager))
			list := acts(o)
			answers := make([]answer, len(list))
			var all sync.WaitGroup
			for n, act := range list {
				all.Go(func() { answers[n] = act() })
			}
			all.Wait()
			made := 0
			for _, a := range answers {
				if a.status == http.StatusCreated {
					made++
					continue
				}
				wantProblem(t, a, http.StatusConflict, "conflict")
			}
			jobs := o.jobs()
			if made != 1 || len(jobs) != 1 {
				t.Errorf("%d were told that they did, and there are %d jobs; want one", made, len(jobs))
			}
			events := want[openapi.EventList](t, o.do(http.MethodGet, "/v1/events?limit=200", nil),
				http.StatusOK).Items
			if n := len(slices.DeleteFunc(events, func(e openapi.Event) bool {
				return e.Kind != "job.accepted"
			})); n != 1 {
				t.Errorf("the feed tells of %d jobs, want one", n)
			}
		})
	}
}

// An upright's survey and hours say nothing of a grand.
func TestTheKindOfAPianoStaysOnceWorkHangsOnIt(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	i := want[openapi.Instrument](t, owner.do(http.MethodPost, "/v1/instruments",
		with(wornGrand(), map[string]any{"owner": "stock"})), http.StatusCreated)
	at := "/v1/instruments/" + i.ID.String()
	become := func(kind string) answer {
		size := map[string]int{"upright": 1280, "grand": 1850}[kind]
		action := map[string]string{"upright": "under_damper", "grand": "roller"}[kind]
		tag := owner.do(http.MethodGet, at, nil).header.Get("ETag")
		return owner.do(http.MethodPut, at, with(wornGrand(), map[string]any{
			"owner": "stock", "kind": kind, "size_mm": size, "action": action,
		}), "If-Match: "+tag)
	}
	want[openapi.Instrument](t, become("upright"), http.StatusOK) // entered in error
	want[openapi.Instrument](t, become("grand"), http.StatusOK)
	s := want[openapi.Survey](t, owner.do(http.MethodPost, at+"/surveys",
		map[string]any{"taken_on": "2026-11-20", "findings": []any{}}), http.StatusCreated)
	wantConflict(t, become("upright"), "survey "+s.ID.String())
	scope := want[openapi.Scope](t, owner.do(http.MethodPost, at+"/scopes",
		map[string]any{"survey": s.ID, "depth": "recondition"}), http.StatusCreated)
	bid := bidOn(t, owner, s, nil)
	j := want[openapi.Job](t, owner.do(http.MethodPost, "/v1/jobs",
		map[string]any{"scope": scope.ID, "accepted_on": "2026-11-24"}), http.StatusCreated)
	wantConflict(t, become("upright"), "survey "+s.ID.String(), "scope "+scope.ID.String(),
		"bid "+bid.ID.String(), "job "+j.ID.String())
	want[openapi.Instrument](t, become("grand"), http.StatusOK) // anything else is corrected freely
}

// Somebody asks what a client's job still costs us, and what a closed one came to.
func TestCostToGoOfAClientsJobAndOfAClosedOne(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	o := offerOf(t, s.as(domain.Manager))
	j := want[openapi.Quotation](t, o.yes(o.quoted(o.deep), 1), http.StatusCreated).Job
	path := "/v1/jobs/" + j.String()
	ask := func(query string) answer { return o.do(http.MethodGet, path+"/cost-to-go"+query, nil) }
	open := want[openapi.CostToGo](t, ask("?depth=recondition"), http.StatusOK)
	if open.State != "open" || len(open.Ways) != 2 || open.Spent.Amount != "0.00" ||
		!open.Ways[1].Hours.LessThan(open.Ways[0].Hours) || open.Ways[0].Sale != nil {
		t.Errorf("got %+v, want the rest of the work and that of less", open)
	}
	p := wantProblem(t, ask("?sale=9000&parts_sale=700"), http.StatusUnprocessableEntity, "validation")
	if len(p.Errors) != 2 || p.Errors[0].Pointer != "#/query/sale" ||
		p.Errors[1].Pointer != "#/query/parts_sale" {
		t.Errorf("the sale of a client's piano: got %+v", p.Errors)
	}
	whole := want[openapi.Job](t, o.do(http.MethodGet, path, nil), http.StatusOK)
	want[openapi.Job](t, o.do(http.MethodPost,
		path+"/tasks/"+whole.Tasks[0].Operation+"/progress",
		map[string]any{
			"hours": "3", "person": hand(t, o.client, ""), "left": "0", "finished": true,
		}), http.StatusCreated)
	spent := want[openapi.CostToGo](t, ask(""), http.StatusOK)
	o.closed(j)
	came := want[openapi.CostToGo](t, ask(""), http.StatusOK)
	if came.State != "closed" || came.Outcome != "abandoned" || came.ClosedOn != o.today ||
		len(came.Ways) != 0 || came.Spent != spent.Spent || came.SpentHours.String() != "3" ||
		came.Spent.Amount == "0.00" {
		t.Errorf("a closed job: got %+v, want nothing to go and %v spent", came, spent.Spent)
	}
	wantProblem(t, ask("?depth=as_found"), http.StatusUnprocessableEntity, "validation")
}

// What a workshop brought is read again where the job is, by those who may see money.
func TestAJoinedJobShowsItsOpeningCostAndDeposit(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	manager, bench := s.as(domain.Manager), s.as(domain.Bench)
	piano := map[string]any{
		"kind": "upright", "maker": "Tessmann", "size_mm": 1280, "notes": 88, "owner": "client",
		"client": "Odile Garriga", "deposit": amount("600.00"), "cost_so_far": amount("410.50"),
		"depth": "recondition", "accepted_on": "2026-02-02",
		"tasks": []any{
			map[string]any{"operation": "AC-01", "hours_done": "2.5", "hours_left": "6"},
		},
	}
	joined := want[openapi.JoinReport](t,
		manager.do(http.MethodPost, "/v1/joins", map[string]any{"pianos": []any{piano}}),
		http.StatusCreated)
	path := "/v1/jobs/" + joined.Pianos[0].Job.String()
	j := want[openapi.Job](t, manager.do(http.MethodGet, path, nil), http.StatusOK)
	if j.Opening == nil || j.Opening.Deposit.Amount != "600.00" ||
		j.Opening.CostSoFar.Amount != "410.50" || j.Opening.OriginalPrice != nil {
		t.Errorf("got the opening %+v, want the deposit and the cost of old records", j.Opening)
	}
	seen := bench.do(http.MethodGet, path, nil)
	if want[openapi.Job](t, seen, http.StatusOK).Opening != nil ||
		strings.Contains(string(seen.body), "600.00") {
		t.Error("the bench is shown money")
	}
	toGo := want[openapi.CostToGo](t, manager.do(http.MethodGet, path+"/cost-to-go", nil),
		http.StatusOK)
	if toGo.SpentBefore == nil || toGo.SpentBefore.Amount != "410.50" || len(toGo.Ways) != 1 {
		t.Errorf("got %+v, want what was spent before and the rest", toGo)
	}
	if alone := want[openapi.Job](t, manager.do(http.MethodGet,
		"/v1/jobs/"+jobUnderWay(t, manager).ID.String(), nil), http.StatusOK); alone.Opening != nil {
		t.Errorf("a job that began here has the opening %+v", alone.Opening)
	}
}
