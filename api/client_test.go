package api_test

import (
	"net/http"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

// clientsGrand records a client with a surveyed grand and a scope of it.
func clientsGrand(tb testing.TB, c *client) (party openapi.Party, scope openapi.Scope) {
	tb.Helper()
	party = want[openapi.Party](tb,
		c.do(http.MethodPut, "/v1/parties/"+newID(tb).String(), map[string]any{
			"name": "Odile Garriga",
		},
			"If-None-Match: *"), http.StatusCreated)
	i := want[openapi.Instrument](tb,
		c.do(
			http.MethodPost, "/v1/instruments",
			with(wornGrand(), map[string]any{"owner": "client", "party": party.ID}),
		),
		http.StatusCreated)
	s := want[openapi.Survey](tb, c.do(http.MethodPost, "/v1/instruments/"+i.ID.String()+"/surveys",
		map[string]any{"taken_on": "2026-02-20", "findings": []any{}}), http.StatusCreated)
	scope = want[openapi.Scope](tb, c.do(http.MethodPost, "/v1/instruments/"+i.ID.String()+
		"/scopes",
		map[string]any{"survey": s.ID, "depth": "recondition"}), http.StatusCreated)
	return party, scope
}

// clientsJob makes a job of a scope to which the client said yes without a quotation.
func clientsJob(tb testing.TB, c *client, party openapi.Party, scope openapi.Scope) openapi.Job {
	tb.Helper()
	today := domain.DateOf(scope.CreatedAt).String()
	return want[openapi.Job](tb, c.do(http.MethodPost, "/v1/jobs", map[string]any{
		"scope": scope.ID, "accepted_on": today, "consent": map[string]any{
			"party": party.ID, "given_on": today, "how": "on the telephone",
			"to": "reconditioning, for what the hours come to",
		},
	}), http.StatusCreated)
}

func TestAClientIsQuotedAcceptsAndIsPromisedADateOverHTTP(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	manager, bench := s.as(domain.Manager), s.as(domain.Bench)
	party, scope := clientsGrand(t, manager)
	path := "/v1/instruments/" + scope.Instrument.String() + "/quotations"
	made := manager.do(http.MethodPost, path, map[string]any{
		"party": party.ID, "valid_until": domain.DateOf(scope.CreatedAt).AddDays(30).String(),
		"deposit": amount("500.00"),
		"options": []any{
			map[string]any{
				"scope": scope.ID, "title": "Reconditioned", "net": amount("4200.00"), "tax_rate": "0.23",
			},
		},
	})
	q := want[openapi.Quotation](t, made, http.StatusCreated)
	if q.State != "open" || q.Options[0].Total.Amount != "5166.00" ||
		made.header.Get("Location") != "/v1/quotations/"+q.ID.String() {
		t.Errorf("got %+v", q)
	}
	today := domain.DateOf(q.CreatedAt).String()
	answer := map[string]any{"accepted": true, "option": 1, "on": today}
	yes := want[openapi.Quotation](t,
		manager.do(http.MethodPost, "/v1/quotations/"+q.ID.String()+"/answer", answer),
		http.StatusCreated)
	if yes.State != "accepted" {
		t.Errorf("got %s", yes.State)
	}
	again := manager.do(http.MethodPost, "/v1/quotations/"+q.ID.String()+"/answer", map[string]any{
		"accepted": false, "on": today,
	})
	wantProblem(t, again, http.StatusConflict, "conflict")
	if page := want[openapi.QuotationPage](t, manager.do(http.MethodGet, path, nil),
		http.StatusOK); len(page.Items) != 1 {
		t.Errorf("got %+v", page)
	}
	promises := "/v1/jobs/" + yes.Job.String() + "/promises"
	p := want[openapi.Promise](t, manager.do(http.MethodPost, promises, map[string]any{
		"for": "ready to be played", "due": domain.DateOf(q.CreatedAt).AddDays(90).String(),
		"party": party.ID, "confidence": "0.8",
	}), http.StatusCreated)
	met := want[openapi.Promise](t, manager.do(http.MethodPost, promises+"/"+p.ID.String()+
		"/outcome",
		map[string]any{"withdrawn": false, "on": today}), http.StatusCreated)
	if met.State != "kept" {
		t.Errorf("got %+v", met)
	}
	if list := want[openapi.PromisePage](t, bench.do(http.MethodGet, promises, nil),
		http.StatusOK); len(list.Items) != 1 || list.Items[0].EndedOn != today {
		t.Errorf("got %+v", list)
	}
}

// A client may be given any date; whoever gives it is told when the work will be ready.
func TestAPromiseBeforeThePlannedDateIsRecordedWithAWarning(t *testing.T) {
	t.Parallel()
	manager := openShop(t).as(domain.Manager)
	party, scope := clientsGrand(t, manager)
	today := domain.DateOf(scope.CreatedAt)
	path := "/v1/jobs/" + clientsJob(t, manager, party, scope).ID.String()
	ready := want[openapi.JobDates](t, manager.do(http.MethodGet, path+"/dates", nil),
		http.StatusOK).Queued.ReadyOn
	promise := func(due string) openapi.Promise {
		return want[openapi.Promise](t, manager.do(http.MethodPost, path+"/promises", map[string]any{
			"for": "ready to be played", "due": due, "party": party.ID,
		}), http.StatusCreated)
	}
	if note := promise(today.AddDays(1).String()).Note; !strings.Contains(note, "ready on "+ready) {
		t.Errorf("tomorrow is noted as %q, want that the work is ready on %s", note, ready)
	}
	for _, due := range []string{ready, today.AddDays(900).String()} {
		if note := promise(due).Note; note != "" {
			t.Errorf("%s is noted as %q, want no warning", due, note)
		}
	}
	list := want[openapi.PromisePage](t, manager.do(http.MethodGet, path+"/promises", nil),
		http.StatusOK)
	if len(list.Items) != 3 || list.Items[0].Note != "" {
		t.Errorf("got %+v, want three promises, and no warning kept", list.Items)
	}
}

func TestAVariationIsProposedByTheBenchPricedHiddenAndConsentedTo(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	manager, bench := s.as(domain.Manager), s.as(domain.Bench)
	party, scope := clientsGrand(t, manager)
	j := clientsJob(t, manager, party, scope)
	path := "/v1/jobs/" + j.ID.String()
	found := map[string]any{
		"says":     "the pins turn by hand",
		"findings": []any{map[string]any{"point": "SV-11", "value": "1", "unit": "N·m"}},
	}
	seen := bench.do(http.MethodPost, path+"/proposals", found)
	p := want[openapi.Proposal](t, seen, http.StatusCreated)
	if len(p.Added) == 0 || strings.Contains(string(seen.body), "currency") || !p.NeedsConsent {
		t.Fatalf("the bench is shown %s", seen.body)
	}
	wantProblem(t,
		bench.do(http.MethodPost, path+"/proposals",
			with(found, map[string]any{"price": amount("1.00")})),
		http.StatusForbidden, "forbidden")
	list := want[openapi.ProposalPage](t, manager.do(http.MethodGet, path+"/proposals", nil),
		http.StatusOK)
	if len(list.Items) != 1 || list.Items[0].Price == nil ||
		list.Items[0].SpendingLimit != nil {
		t.Errorf("the manager is shown %+v", list)
	}
	if held := want[openapi.Job](t, bench.do(http.MethodGet, path, nil),
		http.StatusOK); held.State != "held" {
		t.Errorf("the job is %s, want it on hold", held.State)
	}
	decision := path + "/proposals/" + p.ID.String() + "/decision"
	yes := map[string]any{"accept": true, "reason": "it would not hold its tuning"}
	refused := wantProblem(t, manager.do(http.MethodPost, decision, yes),
		http.StatusConflict, "conflict")
	if len(refused.Chain) != 2 || !strings.Contains(refused.Detail, "no spending limit") {
		t.Errorf("got %+v, want price and what was spent", refused)
	}
	yes["consent"] = map[string]any{
		"party": party.ID, "given_on": domain.DateOf(scope.CreatedAt).String(), "how": "by letter",
	}
	want[openapi.Proposal](t, manager.do(http.MethodPost, decision, yes), http.StatusCreated)
	if free := want[openapi.Job](t, bench.do(http.MethodGet, path, nil),
		http.StatusOK); free.State != "open" || len(free.Tasks) <= len(j.Tasks) {
		t.Errorf("the job is %s with %d tasks", free.State, len(free.Tasks))
	}
	nothing := manager.do(http.MethodPost, path+"/proposals", map[string]any{"says": "nothing"})
	if p := wantProblem(t, nothing, http.StatusUnprocessableEntity,
		"validation"); p.Errors[0].Pointer != "#" {
		t.Errorf("got %+v", p)
	}
}

// A client may hold us to a price until its last day, so a second price for the same scope comes
// only in the place of the first, and says so.
func TestAScopeHasOnePriceAtATime(t *testing.T) {
	t.Parallel()
	manager := openShop(t).as(domain.Manager)
	party, scope := clientsGrand(t, manager)
	path := "/v1/instruments/" + scope.Instrument.String() + "/quotations"
	option := func(net string) map[string]any {
		return map[string]any{
			"scope": scope.ID, "title": "Reconditioned", "net": amount(net), "tax_rate": "0",
		}
	}
	until := domain.DateOf(scope.CreatedAt).AddDays(30).String()
	quote := func(change map[string]any) answer {
		return manager.do(http.MethodPost, path, with(map[string]any{
			"party": party.ID, "valid_until": until, "options": []any{option("3900.00")},
		}, change))
	}
	refused := func(a answer, pointer, says string) {
		t.Helper()
		p := wantProblem(t, a, http.StatusUnprocessableEntity, "validation")
		if len(p.Errors) != 1 || p.Errors[0].Pointer != pointer ||
			!strings.Contains(p.Errors[0].Detail, says) {
			t.Errorf("got %+v, want %q at %s", p.Errors, says, pointer)
		}
	}
	refused(quote(map[string]any{"options": []any{option("4200.00"), option("3900.00")}}),
		"#/options/1/scope", "one scope has one price")
	first := want[openapi.Quotation](t, quote(map[string]any{"options": []any{option("4200.00")}}),
		http.StatusCreated)
	refused(quote(nil), "#/replaces", "must name "+first.ID.String()+", which offers the scope of "+
		"option 1 at 4200.00 EUR and is open until "+until)
	refused(quote(map[string]any{"replaces": []any{first.ID, newID(t)}}), "#/replaces/1", "open")
	second := want[openapi.Quotation](t, quote(map[string]any{"replaces": []any{first.ID}}),
		http.StatusCreated)
	if len(second.Replaces) != 1 || second.Replaces[0] != first.ID || second.State != "open" {
		t.Errorf("the second quotation: %+v", second)
	}
	at := "/v1/quotations/" + first.ID.String()
	first = want[openapi.Quotation](t, manager.do(http.MethodGet, at, nil), http.StatusOK)
	if first.State != "replaced" || first.ReplacedBy != second.ID ||
		first.Options[0].Total.Amount != "4200.00" {
		t.Errorf("the first quotation is kept as %+v", first)
	}
	for _, accepted := range []bool{true, false} {
		reply := map[string]any{"accepted": accepted, "on": domain.DateOf(scope.CreatedAt).String()}
		if accepted {
			reply["option"] = 1
		}
		p := wantProblem(t, manager.do(http.MethodPost, at+"/answer", reply), http.StatusConflict,
			"conflict")
		if !strings.Contains(p.Detail, second.ID.String()) {
			t.Errorf("answered all the same: %q", p.Detail)
		}
	}
	for state, id := range map[string]any{"open": second.ID, "replaced": first.ID} {
		list := want[openapi.QuotationPage](t,
			manager.do(http.MethodGet, "/v1/quotations?state="+state, nil), http.StatusOK)
		if len(list.Items) != 1 || list.Items[0].ID != id {
			t.Errorf("%s: %+v", state, list.Items)
		}
	}
	var told bool
	for _, e := range feed(t, manager) {
		told = told || e.Kind == "quotation.replaced" && e.Subject == first.ID &&
			strings.Contains(string(e.Data), second.ID.String())
	}
	if !told {
		t.Error("the feed doesn't say that the first one is replaced")
	}
}
