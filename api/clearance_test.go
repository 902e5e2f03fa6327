package api_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

// The law is the Ivory Act 2018 as the trade dossier sums it up (S90 to S92). Trade facts are
// common practice, no source.

// lawShop is a shop in a country, with the tokens of its roles.
type lawShop struct {
	*shop
	tb    testing.TB
	owner *client
}

func shopIn(t *testing.T, country string) lawShop {
	t.Helper()
	s := openShop(t)
	l := lawShop{shop: s, tb: t, owner: s.as(domain.Owner)}
	shop := l.owner.do(http.MethodGet, "/v1/workshop", nil)
	settings := want[map[string]any](t, shop, http.StatusOK)
	for _, key := range []string{"id", "version", "created_at"} {
		delete(settings, key)
	}
	settings["country"] = country
	put := l.owner.do(
		http.MethodPut, "/v1/workshop", settings, "If-Match: "+shop.header.Get("ETag"),
	)
	if w := want[openapi.Workshop](t, put, http.StatusOK); w.Country != country {
		t.Fatalf("the workshop stands in %q, want %q", w.Country, country)
	}
	return l
}

// piano is an instrument with a survey of it.
type piano struct {
	at     string // its path
	id     string
	survey string
}

// piano records a grand with changes, and a survey that found something.
func (s lawShop) piano(change map[string]any, findings ...map[string]any) piano {
	s.tb.Helper()
	i := want[openapi.Instrument](s.tb,
		s.owner.do(http.MethodPost, "/v1/instruments", with(wornGrand(), change)), http.StatusCreated)
	p := piano{at: "/v1/instruments/" + i.ID.String(), id: i.ID.String()}
	p.survey = s.look(p, findings...).ID.String()
	return p
}

// look takes a survey of a piano.
func (s lawShop) look(p piano, findings ...map[string]any) openapi.Survey {
	s.tb.Helper()
	var list []any
	found := []string{"SV-42"} // which the record of the instrument settles
	for _, f := range findings {
		list, found = append(list, f), append(found, f["point"].(string))
	}
	list = append(list, soundStops(found...)...)
	return want[openapi.Survey](s.tb, s.owner.do(http.MethodPost, p.at+"/surveys", map[string]any{
		"taken_on": "2026-11-25", "taken_by": "Ines Duarte", "findings": list,
	}), http.StatusCreated)
}

func frameCrack(where string) map[string]any {
	return map[string]any{"point": "SV-29", "flag": true, "where": where}
}

// stop returns the stop of a name, and whether there is one.
func (s lawShop) stop(p piano, name string) (openapi.Stop, bool) {
	s.tb.Helper()
	list := want[openapi.StopList](s.tb, s.owner.do(http.MethodGet, p.at+"/stops", nil), http.StatusOK)
	return stopOf(list.Items, name)
}

func stopOf(list []openapi.Stop, name string) (openapi.Stop, bool) {
	i := slices.IndexFunc(list, func(s openapi.Stop) bool { return s.Stop == name })
	if i < 0 {
		return openapi.Stop{}, false
	}
	return list[i], true
}

// papers is a clearance by papers.
func papers(stop, reference string) map[string]any {
	return map[string]any{
		"stop": stop, "by": "Ines Duarte", "says": "seen as issued", "reference": reference,
		"dated": "2026-02-11",
	}
}

// word is a clearance by what somebody found.
func word(stop, says string) map[string]any {
	return map[string]any{"stop": stop, "by": "Ines Duarte", "says": says}
}

func (s lawShop) clear(p piano, body map[string]any) openapi.Clearance {
	s.tb.Helper()
	return want[openapi.Clearance](
		s.tb, s.owner.do(http.MethodPost, p.at+"/clearances", body), http.StatusCreated,
	)
}

// bid works out a bid for a piano, restored unless its form says otherwise.
func (s lawShop) bid(p piano, change map[string]any) openapi.Bid {
	s.tb.Helper()
	question := map[string]any{
		"survey": p.survey, "seller_asks": amount("900.00"),
		"ways": []any{map[string]any{"depth": "restore", "sale_price": amount("42000.00")}},
	}
	for k, v := range change {
		if question[k] = v; v == nil {
			delete(question, k)
		}
	}
	return want[openapi.Bid](
		s.tb, s.owner.do(http.MethodPost, p.at+"/bids", question), http.StatusCreated,
	)
}

func bought(stock string) map[string]any {
	return map[string]any{
		"kind": "bought", "amount": amount("900.00"), "stock_number": stock,
		"reason": "asked by a client",
	}
}

// scope draws up the work on a piano.
func (s lawShop) scope(p piano, depth string) openapi.Scope {
	s.tb.Helper()
	return want[openapi.Scope](s.tb, s.owner.do(http.MethodPost, p.at+"/scopes",
		map[string]any{"survey": p.survey, "depth": depth}), http.StatusCreated)
}

func (s lawShop) accept(scope openapi.Scope) answer {
	return s.owner.do(http.MethodPost, "/v1/jobs", map[string]any{
		"scope": scope.ID, "accepted_on": "2026-11-25",
	})
}

// wantUnpriced fails the test if a way of a bid names a price, a profit or a chance, in whatever
// member of the answer.
func wantUnpriced(t *testing.T, w openapi.BidWay) {
	t.Helper()
	if w.Outcome != "stopped" || w.Target != nil || w.BreakEven != nil || w.AsGift != nil ||
		w.AtAsked != nil || w.TargetProfit != nil || w.RuleOfThumb != nil || w.Negotiation != nil ||
		w.Commissions != nil || w.Exchanges != nil {
		t.Errorf("%s: %s with prices: %+v", w.Depth, w.Outcome, w)
	}
	if w.Work.Likely.Amount == "" || w.Sale == nil || w.ReadyOn == "" {
		t.Errorf("%s: cost, sale or date is gone too: %+v", w.Depth, w)
	}
}

// wantPointers fails the test unless a problem is about those members of the request.
func wantPointers(t *testing.T, p openapi.Problem, want ...string) {
	t.Helper()
	if got := pointers(p); !slices.Equal(got, want) {
		t.Errorf("the problem is about %q, want %q", got, want)
	}
}

// A grand of 1904 with ivory keys, in the UK: the seller registers, we bid and buy, draw up its
// work, accept it and book on it; before we offer it we register ourselves.
func TestIvoryOf1904GoesFromItsPapersToTheBench(t *testing.T) {
	t.Parallel()
	s := shopIn(t, "GB")
	p := s.piano(map[string]any{"covering": "ivory", "year": 1904})
	b := s.bid(p, nil)
	wantUnpriced(t, b.Ways[0])
	offers := "/v1/bids/" + b.ID.String() + "/offers"
	wantProblem(t, s.owner.do(http.MethodPost, offers, bought("K-1")), http.StatusConflict, "conflict")

	applied := papers("ivory-register", "")
	delete(applied, "dated")
	f := wantProblem(t, s.owner.do(http.MethodPost, p.at+"/clearances", applied), http.StatusUnprocessableEntity, "validation")
	wantPointers(t, f, "#/reference", "#/dated")
	c := s.clear(p, papers("ivory-register", "REG-1"))
	if c.Reference != "REG-1" || c.Dated != "2026-02-11" || c.Owner != "offered" || c.Country != "GB" {
		t.Errorf("cleared as %+v", c)
	}

	b = s.bid(p, nil)
	w := b.Ways[0]
	if w.Outcome != "buy" || w.Negotiation == nil {
		t.Fatalf("with its papers: %s %s", w.Outcome, w.Why)
	}
	if stop, ok := stopOf(w.Stops, "ivory-register"); !ok || stop.Cleared.Reference != "REG-1" {
		t.Errorf("the bid shows %+v, want the clearance", w.Stops)
	}
	offers = "/v1/bids/" + b.ID.String() + "/offers"
	want[openapi.BidOffer](t, s.owner.do(http.MethodPost, offers, bought("K-1")), http.StatusCreated)

	sc := s.scope(p, "restore")
	stop, _ := stopOf(sc.Stops, "ivory-register")
	if !slices.Contains(stop.Bars, "offer") || !strings.Contains(stop.Lapsed.Why, "owner") {
		t.Errorf("ours, the scope shows %+v; want our own registration asked for", stop)
	}
	j := want[openapi.Job](t, s.accept(sc), http.StatusCreated)
	if _, ok := stopOf(j.Stops, "ivory-register"); !ok {
		t.Errorf("the job doesn't note the ivory: %+v", j.Stops)
	}
	task := "/v1/jobs/" + j.ID.String() + "/tasks/" + j.Tasks[0].Operation + "/progress"
	want[openapi.Job](t, s.owner.do(http.MethodPost, task, map[string]any{
		"left": "0", "finished": true,
	}), http.StatusCreated)

	s.clear(p, papers("ivory-register", "REG-2"))
	if stop, _ := s.stop(p, "ivory-register"); len(stop.Bars) > 0 || stop.Cleared.Reference != "REG-2" {
		t.Errorf("registered by us: %+v", stop)
	}
}

// Made in 1979, with ivory: nobody may clear it, not even the workshop's owner, and neither the
// talk about the price nor the record makes it ours. Re-covered by its seller it is a piano as any.
func TestIvoryOf1979IsNotBoughtWhateverAnybodySays(t *testing.T) {
	t.Parallel()
	s := shopIn(t, "GB")
	p := s.piano(map[string]any{"covering": "ivory", "year": 1979})
	for role := range s.tokens {
		a := s.as(role).do(http.MethodPost, p.at+"/clearances", papers("ivory-too-late", "REG-1"))
		if a.status != http.StatusConflict && a.status != http.StatusForbidden {
			t.Errorf("%s: answered %d: %s", role, a.status, a.body)
		}
	}
	f := wantProblem(
		t, s.owner.do(http.MethodPost, p.at+"/clearances", papers("ivory-register", "REG-1")),
		http.StatusUnprocessableEntity, "validation",
	)
	wantPointers(t, f, "#/stop")
	for _, change := range []map[string]any{
		nil,
		{"form": "consigned", "consignment": map[string]any{"owner_bears": amount("0.00")}},
		{"form": "donor", "donor": donorBody(), "ways": nil},
	} {
		b := s.bid(p, change)
		wantUnpriced(t, b.Ways[0])
		kind := "bought"
		if b.Form == "consigned" {
			kind = "taken_in"
		}
		offer := bought("K-1")
		offer["kind"] = kind
		wantProblem(
			t, s.owner.do(http.MethodPost, "/v1/bids/"+b.ID.String()+"/offers", offer), http.StatusConflict, "conflict",
		)
	}
	record := with(wornGrand(), map[string]any{"covering": "ivory", "year": 1979, "owner": "stock"})
	wantProblem(t, s.owner.do(http.MethodPut, p.at, record, `If-Match: "v1"`), http.StatusConflict, "conflict")

	record["owner"], record["covering"] = "offered", "plastic"
	want[openapi.Instrument](
		t, s.owner.do(http.MethodPut, p.at, record, `If-Match: "v1"`), http.StatusOK,
	)
	if b := s.bid(p, nil); b.Ways[0].Outcome == "stopped" {
		t.Errorf("re-covered it is stopped: %s", b.Ways[0].Why)
	}
}

func donorBody() map[string]any {
	worth := map[string]any{
		"low": amount("100.00"), "likely": amount("200.00"), "high": amount("300.00"),
	}
	return map[string]any{
		"parts": []any{map[string]any{"name": "legs", "worth": worth, "usable": "1"}},
		"hours": map[string]any{"low": "1", "likely": "2", "high": "3"}, "skill": "general",
		"disposal": amount("50.00"), "days": 90,
	}
}

// A client keeps his piano: nothing is dealt in, so ivory is a note in quotation, scope and job.
func TestAClientsIvoryIsNotedAndWorkedOn(t *testing.T) {
	t.Parallel()
	s := shopIn(t, "GB")
	party := newID(t).String()
	want[openapi.Party](t, s.owner.do(http.MethodPut, "/v1/parties/"+party,
		map[string]any{"name": "Rosa Lindqvist"}, "If-None-Match: *"), http.StatusCreated)
	p := s.piano(map[string]any{
		"covering": "ivory", "year": 1979, "owner": "client", "party": party,
	})
	sc := s.scope(p, "recondition")
	q := want[openapi.Quotation](t, s.owner.do(http.MethodPost, p.at+"/quotations", map[string]any{
		"party": party, "valid_until": "2027-04-30", "deposit": amount("0.00"),
		"options": []any{map[string]any{
			"scope": sc.ID, "title": "Reconditioned", "net": amount("6200.00"), "tax_rate": "0.2",
		}},
	}), http.StatusCreated)
	yes := want[openapi.Quotation](t,
		s.owner.do(http.MethodPost, "/v1/quotations/"+q.ID.String()+"/answer", map[string]any{
			"accepted": true, "option": 1, "on": q.QuotedOn,
		}), http.StatusCreated)
	j := want[openapi.Job](t, s.owner.do(http.MethodGet, "/v1/jobs/"+yes.Job.String(), nil),
		http.StatusOK)
	for where, list := range map[string][]openapi.Stop{
		"quotation": q.Stops, "scope": sc.Stops, "job": j.Stops,
	} {
		stop, ok := stopOf(list, "ivory-too-late")
		if !ok || slices.Contains(stop.Bars, "work") || !slices.Contains(stop.Bars, "sell") {
			t.Errorf("the %s shows %+v, want the sale barred and the work free", where, list)
		}
	}
	k := want[openapi.CautionList](t,
		s.owner.do(http.MethodGet, "/v1/jobs/"+j.ID.String()+"/cautions", nil), http.StatusOK)
	for _, c := range k.Items {
		if c.Key == "ivory_law" && c.Stop {
			t.Errorf("the caution stops the work: %s", c.Says)
		}
	}
}

// A crack in the frame: no price until the owner or the manager answers for what was found, or the
// repair is in the scope. The clearance goes with the piano into the job, until a second crack is
// found.
func TestACrackIsClearedByWhoMayAndASecondOneEndsThat(t *testing.T) {
	t.Parallel()
	s := shopIn(t, "GB")
	p := s.piano(nil, frameCrack("bass strut"))
	shallow := map[string]any{
		"ways": []any{map[string]any{"depth": "recondition", "sale_price": amount("30000.00")}},
	}
	wantUnpriced(t, s.bid(p, shallow).Ways[0])
	if w := s.bid(p, nil).Ways[0]; w.Outcome == "stopped" {
		t.Errorf("with the repair in the scope it is stopped: %s", w.Why)
	} else if stop, _ := stopOf(w.Stops, "frame-cracked"); !stop.Repaired {
		t.Errorf("the bid doesn't say that the work lifts the stop: %+v", stop)
	}
	if w := s.bid(p, map[string]any{"form": "donor", "donor": donorBody(), "ways": nil}).Ways[0]; w.
		Negotiation == nil {
		t.Errorf("as a donor of parts: %s %s", w.Outcome, w.Why)
	}
	sc := s.scope(p, "recondition")
	f := wantProblem(t, s.accept(sc), http.StatusConflict, "conflict")
	if len(f.Chain) != 1 || !strings.Contains(f.Chain[0], "bass strut") {
		t.Errorf("the job is refused with the chain %q, want the crack", f.Chain)
	}

	body := word("frame-cracked", "an idle web, as old as the frame; the specialist's report is in the file")
	wantProblem(t, s.as(domain.Bench).do(http.MethodPost, p.at+"/clearances", body), http.StatusForbidden, "forbidden")
	wantProblem(t, s.as(domain.Buyer).do(http.MethodPost, p.at+"/clearances", body), http.StatusForbidden, "forbidden")
	want[openapi.Clearance](
		t, s.as(domain.Manager).do(http.MethodPost, p.at+"/clearances", body), http.StatusCreated,
	)
	b := s.bid(p, shallow)
	if b.Ways[0].Outcome == "stopped" {
		t.Fatalf("cleared it is stopped: %s", b.Ways[0].Why)
	}
	offers := "/v1/bids/" + b.ID.String() + "/offers"
	want[openapi.BidOffer](t, s.owner.do(http.MethodPost, offers, bought("K-2")), http.StatusCreated)
	j := want[openapi.Job](t, s.accept(sc), http.StatusCreated)
	if stop, _ := stopOf(j.Stops, "frame-cracked"); len(stop.Bars) > 0 || stop.Cleared.By == "" {
		t.Errorf("the job shows %+v, want the clearance", stop)
	}

	path := "/v1/jobs/" + j.ID.String()
	before := s.owner.do(http.MethodGet, path, nil).header.Get("ETag")
	want[openapi.Finding](t, s.owner.do(http.MethodPost, "/v1/surveys/"+p.survey+"/findings",
		frameCrack("hitch plate")), http.StatusCreated)
	now := s.owner.do(http.MethodGet, path, nil, "If-None-Match: "+before)
	stop, _ := stopOf(want[openapi.Job](t, now, http.StatusOK).Stops, "frame-cracked")
	if !slices.Contains(stop.Bars, "work") || !strings.Contains(stop.Lapsed.Why, "another place") {
		t.Errorf("after the second crack the job shows %+v", stop)
	}
	wantProblem(t, s.accept(s.scope(p, "recondition")), http.StatusConflict, "conflict")
}

// A second look that finds the frame sound is a buyer's to take and not his to buy on: it stands
// beside the crack until the manager has looked himself.
func TestABuyersSecondSurveyWaivesNoStop(t *testing.T) {
	t.Parallel()
	s := shopIn(t, "GB")
	p := s.piano(map[string]any{"covering": nil, "year": 1904}, frameCrack("bass strut"),
		map[string]any{"point": "SV-42", "answer": "ivory"})
	buyer := s.as(domain.Buyer)
	again := func(c *client) openapi.Survey {
		return want[openapi.Survey](t, c.do(http.MethodPost, p.at+"/surveys", map[string]any{
			"taken_on": "2026-11-26", "taken_by": "Rui Bastos", "findings": []any{
				map[string]any{"point": "SV-29", "flag": false},
				map[string]any{"point": "SV-42", "answer": "plastic"},
			},
		}), http.StatusCreated)
	}
	again(buyer)
	for _, name := range []string{"frame-cracked", "ivory-register"} {
		stop, ok := s.stop(p, name)
		if !ok || !slices.Contains(stop.Bars, "buy") || stop.Disputing.By != "Rui Bastos" ||
			stop.Disputing.Role != "buyer" || stop.Disputing.On != "2026-11-26" {
			t.Errorf("%s, looked at again by the buyer: %+v", name, stop)
		}
	}
	shallow := map[string]any{
		"ways": []any{map[string]any{"depth": "recondition", "sale_price": amount("30000.00")}},
	}
	b := s.bid(p, shallow)
	wantUnpriced(t, b.Ways[0])
	wantProblem(t, buyer.do(http.MethodPost, "/v1/bids/"+b.ID.String()+"/offers", bought("K-8")),
		http.StatusConflict, "conflict")

	survey := buyer.do(http.MethodGet, "/v1/surveys/"+p.survey, nil)
	for _, f := range want[openapi.Survey](t, survey, http.StatusOK).Findings {
		if f.Point == "SV-29" {
			struck := buyer.do(http.MethodDelete, "/v1/surveys/"+p.survey+"/findings/"+f.ID.String(), nil,
				"If-Match: "+survey.header.Get("ETag"))
			wantProblem(t, struck, http.StatusForbidden, "forbidden")
		}
	}

	again(s.as(domain.Manager))
	for _, name := range []string{"frame-cracked", "ivory-register"} {
		stop, ok := s.stop(p, name)
		if !ok || len(stop.Bars) > 0 || stop.Lifting.Role != "manager" || stop.Lifting.On == "" {
			t.Errorf("%s, looked at again by the manager: %+v", name, stop)
		}
	}
	if w := s.bid(p, shallow).Ways[0]; w.Outcome == "stopped" {
		t.Errorf("after the manager's look it is stopped: %s", w.Why)
	}
}

// A bid that was made before the crack was found names it, and so does the sheet that the buyer
// carries; offers were refused all along.
func TestAnOldBidNamesWhatWasFoundSince(t *testing.T) {
	t.Parallel()
	s := shopIn(t, "GB")
	p := s.piano(nil)
	b := s.bid(p, nil)
	path := "/v1/bids/" + b.ID.String()
	before := s.owner.do(http.MethodGet, path, nil)
	if w := want[openapi.Bid](t, before, http.StatusOK).Ways[0]; w.Outcome == "stopped" ||
		len(w.FoundSince) > 0 {
		t.Fatalf("before the crack: %s, found since %+v", w.Outcome, w.FoundSince)
	}
	want[openapi.Finding](t, s.owner.do(http.MethodPost, "/v1/surveys/"+p.survey+"/findings",
		frameCrack("bass strut")), http.StatusCreated)
	after := s.owner.do(
		http.MethodGet, path, nil, "If-None-Match: "+before.header.Get("ETag"),
	)
	stop, ok := stopOf(want[openapi.Bid](t, after, http.StatusOK).Ways[0].FoundSince, "frame-cracked")
	if !ok || !slices.Contains(stop.Bars, "buy") || !strings.Contains(stop.Found, "bass strut") {
		t.Errorf("the bid shows %+v since, want the crack", stop)
	}
	sheet := string(s.owner.do(http.MethodGet, path+"/sheet", nil).body)
	if strings.Contains(sheet, "None known") ||
		!strings.Contains(sheet, "Found since this bid: the frame is cracked") {
		t.Errorf("the sheet doesn't name the crack:\n%s", sheet)
	}
	offer := map[string]any{"kind": "offered", "amount": amount("100.00")}
	wantProblem(
		t, s.owner.do(http.MethodPost, path+"/offers", offer), http.StatusConflict, "conflict",
	)
}

// What is on record of the keys is corrected away by a buyer as little as what was found of them.
func TestABuyerDoesNotCorrectIvoryAway(t *testing.T) {
	t.Parallel()
	s := shopIn(t, "GB")
	p := s.piano(map[string]any{"covering": "ivory", "year": 1904})
	plastic := with(wornGrand(), map[string]any{"covering": "plastic", "year": 1904})
	put := func(role domain.Role) answer {
		return s.as(role).do(http.MethodPut, p.at, plastic, `If-Match: "v1"`)
	}
	wantProblem(t, put(domain.Buyer), http.StatusForbidden, "forbidden")
	want[openapi.Instrument](t, put(domain.Manager), http.StatusOK)
}

// The haul-in comes before the repair: with the crack's mending planned the piano is bought and
// becomes a job, and moving it stays barred there until somebody has said how it is carried, or it
// is mended.
func TestACrackedPianoIsNotFetchedOnAPlannedRepair(t *testing.T) {
	t.Parallel()
	s := shopIn(t, "GB")
	p := s.piano(map[string]any{"owner": "stock"}, frameCrack("bass strut"))
	sc := s.scope(p, "restore")
	bars := func(list []openapi.Stop) []openapi.Act {
		stop, ok := stopOf(list, "frame-cracked")
		if !ok {
			t.Fatalf("no crack among %+v", list)
		}
		return stop.Bars
	}
	if got := bars(sc.Stops); !slices.Equal(got, []openapi.Act{"move"}) {
		t.Errorf("with its repair the scope bars %q, want the move", got)
	}
	j := want[openapi.Job](t, s.accept(sc), http.StatusCreated)
	if got := bars(j.Stops); !slices.Equal(got, []openapi.Act{"move"}) {
		t.Errorf("the job bars %q, want the move", got)
	}
	job := "/v1/jobs/" + j.ID.String()
	cautions := func() []openapi.Caution {
		a := s.as(domain.Bench).do(http.MethodGet, job+"/cautions", nil)
		return want[openapi.CautionList](t, a, http.StatusOK).Items
	}
	first := cautions()[0]
	if first.Key != "string_tension" || !first.Stop || first.Figure == nil ||
		!strings.Contains(first.Says, "Found here: the frame is cracked") ||
		!strings.HasPrefix(first.Standing, "source") {
		t.Errorf("the job's cautions lead with %+v, want the crack", first)
	}
	if len(sc.Cautions) != 1 || sc.Cautions[0].Says != first.Says {
		t.Errorf("the scope's cautions lead with %+v, want the crack", sc.Cautions)
	}
	want[openapi.Job](t, s.owner.do(http.MethodPost, job+"/tasks/FR-01/progress", map[string]any{
		"left": "0", "finished": true, "reason": "stitched where it stands",
	}), http.StatusCreated)
	now := want[openapi.Job](t, s.owner.do(http.MethodGet, job, nil), http.StatusOK)
	if stop, _ := stopOf(now.Stops, "frame-cracked"); len(stop.Bars) > 0 || !stop.Mended {
		t.Errorf("with the crack stitched the job shows %+v", stop)
	}
	if k := cautions()[0]; strings.Contains(k.Says, "Found here: the frame is cracked") {
		t.Errorf("with the crack stitched the job still leads with %s", k.Says)
	}

	p = s.piano(map[string]any{"owner": "stock", "serial": "41878"}, frameCrack("bass strut"))
	s.clear(p, word("frame-cracked", "let down, on its side, on a board: then it may be carried"))
	want[openapi.Job](t, s.accept(s.scope(p, "restore")), http.StatusCreated)
}

// The same piano under another law: what holds in the UK is nothing in the EU, and a piano that
// stands abroad is under the law of the place.
func TestAnotherCountryAsksForItsOwnPapers(t *testing.T) {
	t.Parallel()
	s := shopIn(t, "GB")
	p := s.piano(map[string]any{"covering": "ivory", "year": 1904})
	s.clear(p, papers("ivory-register", "REG-1"))
	moved := with(wornGrand(), map[string]any{"covering": "ivory", "year": 1904, "country": "FR"})
	want[openapi.Instrument](
		t, s.owner.do(http.MethodPut, p.at, moved, `If-Match: "v1"`), http.StatusOK,
	)
	stop, ok := s.stop(p, "ivory-eu")
	if !ok || stop.Country != "FR" || !slices.Contains(stop.Bars, "buy") {
		t.Errorf("in France: %+v", stop)
	}
	wantUnpriced(t, s.bid(p, nil).Ways[0])
	s.clear(p, papers("ivory-eu", "FR-77"))
	if b := s.bid(p, nil); b.Ways[0].Outcome == "stopped" {
		t.Errorf("with the paper of the place: %s", b.Ways[0].Why)
	}
	bad := with(wornGrand(), map[string]any{"country": "UK"})
	wantPointers(t, wantProblem(t, s.owner.do(http.MethodPost, "/v1/instruments", bad), http.StatusUnprocessableEntity, "validation"),
		"#/country")
}

// A clearance recorded on the wrong piano is withdrawn and stays on record.
func TestAClearanceIsWithdrawnAndKept(t *testing.T) {
	t.Parallel()
	s := shopIn(t, "GB")
	p := s.piano(nil, frameCrack(""))
	c := s.clear(p, word("frame-cracked", "an idle web"))
	back := word("frame-cracked", "it was the other grand")
	back["withdraws"] = c.ID
	s.clear(p, back)
	if stop, _ := s.stop(p, "frame-cracked"); !slices.Contains(stop.Bars, "work") {
		t.Errorf("withdrawn, it still holds: %+v", stop)
	}
	list := want[openapi.ClearancePage](
		t, s.owner.do(http.MethodGet, p.at+"/clearances", nil), http.StatusOK,
	)
	if len(list.Items) != 2 || list.Items[1].Withdraws != c.ID {
		t.Errorf("on record are %+v", list.Items)
	}
}
