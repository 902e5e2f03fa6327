package api_test

import (
	"encoding/json"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/bid"
	"bentside/openapi"

	"github.com/shopspring/decimal"
)

// toldKind is what the contract says of a kind of event.
type toldKind struct {
	Subject  string   `json:"subject"`
	Says     string   `json:"says"`
	Data     []string `json:"data"`
	Optional []string `json:"optional"`
}

// toldKinds returns the kinds of event in the contract, and what their keys mean.
func toldKinds(tb testing.TB) (kinds map[string]toldKind, keys map[string]string) {
	tb.Helper()
	doc, err := openapi.Load()
	if err != nil {
		tb.Fatal(err)
	}
	told := doc.Components.Schemas["EventData"].Value.Extensions
	for name, into := range map[string]any{"x-kinds": &kinds, "x-keys": &keys} {
		data, err := json.Marshal(told[name])
		if err == nil {
			err = json.Unmarshal(data, into)
		}
		if err != nil {
			tb.Fatalf("%s: %v", name, err)
		}
	}
	return kinds, keys
}

// kindsOfEvent returns the kinds that package domain names.
func kindsOfEvent(tb testing.TB) []string {
	tb.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), "../domain/event.go", nil, 0)
	if err != nil {
		tb.Fatal(err)
	}
	var kinds []string
	ast.Inspect(file, func(n ast.Node) bool {
		if v, ok := n.(*ast.ValueSpec); ok {
			text, err := strconv.Unquote(v.Values[0].(*ast.BasicLit).Value)
			if err != nil {
				tb.Fatal(err)
			}
			kinds = append(kinds, text)
		}
		return true
	})
	for _, k := range bid.OfferKinds {
		kinds = append(kinds, string(domain.OfferRecorded(string(k))))
	}
	slices.Sort(kinds)
	return kinds
}

func TestTheContractListsEveryKindOfEventAndEveryKey(t *testing.T) {
	t.Parallel()
	kinds, keys := toldKinds(t)
	if got, want := slices.Sorted(maps.Keys(kinds)), kindsOfEvent(t); !slices.Equal(got, want) {
		t.Errorf("the contract lists\n%v\nwant\n%v", got, want)
	}
	unused := maps.Clone(keys)
	for kind, k := range kinds {
		if k.Subject == "" || k.Says == "" {
			t.Errorf("%s: the contract doesn't say what it is about", kind)
		}
		for _, key := range slices.Concat(k.Data, k.Optional) {
			if keys[key] == "" {
				t.Errorf("%s: nothing says what %q means", kind, key)
			}
			delete(unused, key)
		}
	}
	for key := range unused {
		t.Errorf("no kind of event has the key %q", key)
	}
}

// Whoever follows the feed acts on what it tells, without asking back.
func TestEveryKindOfEventIsEmittedWithItsKeys(t *testing.T) {
	t.Parallel()
	kinds, _ := toldKinds(t)
	monday := time.Date(2026, time.March, 2, 9, 0, 0, 0, time.UTC)
	seen := map[string]map[string]bool{}
	for _, walk := range append(slices.Clone(walks), (*walker).rarely) {
		s := openShopAt(t, func() time.Time { return monday })
		w := &walker{TB: t, owner: s.as(domain.Owner), nobody: newClient(t, s.url, "")}
		walk(w)
		for _, e := range feed(t, w.owner) {
			if seen[e.Kind] == nil {
				seen[e.Kind] = map[string]bool{}
			}
			wantKeys(t, e, kinds[e.Kind], seen[e.Kind])
		}
	}
	for _, e := range foundedInPortugal(t) {
		wantKeys(t, e, kinds[e.Kind], seen[e.Kind])
	}
	for kind, k := range kinds {
		if seen[kind] == nil {
			t.Errorf("no walk emits %s", kind)
			continue
		}
		for _, key := range k.Optional {
			if !seen[kind][key] {
				t.Errorf("no walk emits %s with %q", kind, key)
			}
		}
	}
}

// foundedInPortugal returns the events of a workshop that was founded with its country.
func foundedInPortugal(t *testing.T) []openapi.Event {
	t.Helper()
	s := openShop(t)
	w, err := app.DefaultWorkshop("Oficina da Ribeira", "Europe/Lisbon", "EUR")
	if err != nil {
		t.Fatal(err)
	}
	w.Country = "PT"
	owner, err := s.app.CreateWorkshop(t.Context(), app.WorkshopDraft{
		Workshop: w, OwnerName: "Rui Bastos", PriceRate: decimal.NewFromInt(1),
	})
	if err != nil {
		t.Fatal(err)
	}
	list, err := s.app.Read(t.Context(), owner).Events(t.Context(), 0, 10)
	if err != nil {
		t.Fatal(err)
	}
	events := make([]openapi.Event, len(list))
	for i, e := range list {
		events[i] = openapi.Event{Kind: string(e.Kind), Data: e.Data}
	}
	return events
}

// wantKeys compares the keys of an event with those that the contract lists, and collects them.
func wantKeys(t *testing.T, e openapi.Event, k toldKind, seen map[string]bool) {
	t.Helper()
	var data map[string]any
	if err := json.Unmarshal(e.Data, &data); err != nil {
		t.Fatal(err)
	}
	for _, key := range k.Data {
		if _, ok := data[key]; !ok {
			t.Errorf("%s tells nothing of %q: %s", e.Kind, key, e.Data)
		}
	}
	for key, v := range data {
		seen[key] = true
		if !slices.Contains(k.Data, key) && !slices.Contains(k.Optional, key) {
			t.Errorf("%s tells of %q, which the contract doesn't list", e.Kind, key)
		}
		if s, ok := v.(string); v == nil || ok && (s == "" && key != "note" || noID(s)) {
			t.Errorf("%s tells nothing by %q: %s", e.Kind, key, e.Data)
		}
	}
}

// noID reports whether a text is the id of nothing.
func noID(s string) bool { return s == "00000000-0000-0000-0000-000000000000" }

// rarely does what no other walk does but the feed tells of.
func (w *walker) rarely() {
	w.rarelyOfTheShop()
	w.rarelyOfHours()
	w.rarelyOfPrices()
	w.rarelyOfClients()
	w.rarelyOfStock()
	w.rarelyOfCosts()
	w.rarelyOfSales()
}

func (w *walker) rarelyOfTheShop() {
	tag := func(path string) string { return "If-Match: " + w.get(path).header.Get("ETag") }
	hand, place, party := "/v1/people/"+w.id(), "/v1/stations/"+w.id(), "/v1/parties/"+w.id()
	for path, body := range map[string]map[string]any{
		hand:  {"name": "Bruno Vale", "skills": []string{"stringing"}, "productive_share": "0.7"},
		place: {"name": "second bench", "count": 2, "room": "loft"},
		party: {"name": "Ines Ferradal"},
	} {
		send[ignored](w, http.MethodPut, path, body, "If-None-Match: *")
		send[ignored](w, http.MethodPut, path, body, tag(path))
	}
	for _, away := range []map[string]any{
		{"person": strings.TrimPrefix(hand, "/v1/people/")},
		{"station": strings.TrimPrefix(place, "/v1/stations/"), "places": 1, "why": "the vice"},
	} {
		x := send[openapi.Absence](w, http.MethodPost, "/v1/absences",
			with(away, map[string]any{"first": "2026-08-10", "last": "2026-08-14"}))
		send[ignored](w, http.MethodPost, "/v1/absences/"+x.ID.String()+"/withdrawal",
			map[string]any{"why": "not needed"})
	}
	issued := send[openapi.IssuedToken](w, http.MethodPost, "/v1/tokens", map[string]any{
		"note": "for a week", "expires_at": "2026-03-09T09:00:00Z",
	})
	send[ignored](w, http.MethodDelete, "/v1/tokens/"+issued.Token.ID.String(), nil)
	shop := w.get("/v1/workshop")
	settings := want[ignored](w, shop, http.StatusOK)
	for _, key := range []string{"id", "version", "created_at"} {
		delete(settings, key)
	}
	send[ignored](w, http.MethodPut, "/v1/workshop", with(settings, map[string]any{"country": "PT"}),
		"If-Match: "+shop.header.Get("ETag"))
	body := altered(w, w.owner, "links.csv", "DS-02,DS-03,FS,,hard", "DS-02,DS-03,FS,24,hard")
	send[ignored](w, http.MethodPost, "/v1/catalogue/import", body, zipped, tag("/v1/catalogue"))
}

// rarelyOfHours enters hours before their time, late and as rework, and takes some back.
func (w *walker) rarelyOfHours() {
	me := want[openapi.Me](w, w.get("/v1/me"), http.StatusOK)
	person := hand(w, w.owner, me.User.String())
	path := "/v1/people/" + person
	send[ignored](w, http.MethodPut, path, map[string]any{
		"name": "Ines Duarte", "skills": []string{"belly"}, "productive_share": "0.6", "user": me.User,
	}, "If-Match: "+w.get(path).header.Get("ETag"))
	j := jobUnderWay(w, w.owner)
	last := j.Tasks[len(j.Tasks)-1].Operation
	enter := func(body map[string]any) openapi.TimeEntry {
		return send[openapi.TimeEntry](w, http.MethodPost, "/v1/time-entries", body)
	}
	back := func(e openapi.TimeEntry) {
		send[ignored](w, http.MethodPost, "/v1/time-entries/"+e.ID.String()+"/reversal",
			map[string]any{"why": "of another piano"})
	}
	early := enter(map[string]any{
		"job": j.ID, "operation": last, "minutes": 30, "reason": "the bench was free",
		"rework": "normal",
	})
	back(early)
	send[ignored](w, http.MethodPost, path+"/approvals", map[string]any{"week": "2026-03-02"})
	duty := enter(map[string]any{"duty": "waiting", "minutes": 30, "correction": "forgotten"})
	back(duty)
}

// rarelyOfPrices negotiates in every way and clears a stop twice.
func (w *walker) rarelyOfPrices() {
	party := "/v1/parties/" + w.id()
	send[ignored](w, http.MethodPut, party, map[string]any{"name": "Rosa Lindqvist"},
		"If-None-Match: *")
	consigned := map[string]any{
		"form": "consigned", "consignment": map[string]any{"owner_bears": amount("2500.00")},
	}
	for n, steps := range [][]map[string]any{
		{
			{"kind": "offered", "amount": amount("100.00")},
			{"kind": "countered", "amount": amount("400.00")},
			{"kind": "refused"},
			{"kind": "bought", "amount": amount("100.00"), "stock_number": "K-1"},
		},
		{{"kind": "lost", "amount": amount("900.00")}},
		{{"kind": "taken_in", "amount": amount("100.00"), "stock_number": "K-2"}},
	} {
		i := send[openapi.Instrument](w, http.MethodPost, "/v1/instruments",
			with(wornGrand(), map[string]any{
				"model": "Salon", "serial": "418", "year": 1911, "stock_number": fmt.Sprint("A-", n),
				"party": strings.TrimPrefix(party, "/v1/parties/"), "country": "PT",
			}))
		at := "/v1/instruments/" + i.ID.String()
		s := send[openapi.Survey](w, http.MethodPost, at+"/surveys",
			map[string]any{"taken_on": "2026-03-02", "findings": soundStops()})
		change := map[string]any(nil)
		if n == 2 {
			change = consigned
		}
		b := bidOn(w, w.owner, s, change)
		for _, step := range steps {
			send[ignored](w, http.MethodPost, "/v1/bids/"+b.ID.String()+"/offers", step)
		}
	}
	ivory := send[openapi.Instrument](w, http.MethodPost, "/v1/instruments",
		with(wornGrand(), map[string]any{"covering": "ivory", "country": "GB"}))
	at := "/v1/instruments/" + ivory.ID.String() + "/clearances"
	papers := map[string]any{
		"stop": "ivory-register", "by": "Ines Duarte", "says": "the seller's registration, seen",
		"reference": "7QX4-2M", "dated": "2026-02-11",
	}
	c := send[openapi.Clearance](w, http.MethodPost, at, papers)
	send[ignored](w, http.MethodPost, at, with(papers, map[string]any{
		"withdraws": c.ID, "says": "of another piano",
	}))
}

// rarelyOfClients does a client's work with and without a quotation.
func (w *walker) rarelyOfClients() {
	o := offerOf(w, w.owner)
	survey := "/v1/surveys/" + o.light.Survey.String() + "/findings"
	for _, f := range []map[string]any{
		{"point": "SV-03", "where": "note 88", "value": "5.1", "unit": "cm"},
		{"point": "SV-29", "flag": false},
		{"point": "SV-42", "answer": "plastic"},
	} {
		send[ignored](w, http.MethodPost, survey, f)
	}
	send[ignored](w, http.MethodPost, o.at()+"/scopes", map[string]any{
		"survey": o.light.Survey, "copy_from": o.light.ID,
	})
	send[ignored](w, http.MethodPost, "/v1/quotations/"+o.quoted(o.light).ID.String()+"/answer",
		map[string]any{"accepted": false, "on": o.today})
	former := o.quoted(o.light)
	second := send[openapi.Quotation](w, http.MethodPost, o.at()+"/quotations", map[string]any{
		"party": o.party.ID, "valid_until": former.ValidUntil, "replaces": []any{former.ID},
		"options": []any{map[string]any{
			"scope": o.light.ID, "title": "Reconditioned", "net": amount("3900.00"), "tax_rate": "0.23",
		}},
	})
	first := want[openapi.Quotation](w, o.yes(second, 1), http.StatusCreated)
	o.closed(first.Job)
	j := want[openapi.Job](w, o.job(o.deep, o.consent()), http.StatusCreated)
	path := "/v1/jobs/" + j.ID.String()
	hand := "/v1/people/" + w.id()
	send[ignored](w, http.MethodPut, hand, map[string]any{
		"name": "Ada Fernwood", "skills": []string{"stringing"}, "productive_share": "0.7",
	}, "If-None-Match: *")
	send[ignored](w, http.MethodPost, path+"/tasks/"+j.Tasks[0].Operation+"/progress",
		map[string]any{
			"hours": "2", "left": "1.5", "finished": false,
			"person": strings.TrimPrefix(hand, "/v1/people/"),
		})
	// What is plated by the proposal comes before the case is put together, which is then done again.
	closed := "CS-12"
	send[ignored](w, http.MethodPost, path+"/tasks/"+closed+"/progress", map[string]any{
		"hours": "1", "left": "1", "finished": false, "reason": "the client wanted to hear it",
		"person": strings.TrimPrefix(hand, "/v1/people/"),
	})
	held := send[openapi.Job](w, http.MethodPost, path+"/suspensions", map[string]any{
		"operation": j.Tasks[0].Operation, "why": "the wire is late", "until": "2026-03-16",
		"keeps_station": true,
	})
	send[ignored](w, http.MethodPost, path+"/suspensions/"+held.Suspensions[0].ID.String()+
		"/resumption", map[string]any{"why": "the wire has come"})
	promise := send[openapi.Promise](w, http.MethodPost, path+"/promises", map[string]any{
		"for": "ready to be played", "due": "2026-12-18", "party": o.party.ID, "confidence": "0.8",
	})
	send[ignored](w, http.MethodPost, path+"/promises/"+promise.ID.String()+"/outcome",
		map[string]any{"withdrawn": true, "on": o.today, "why": "more was found"})
	send[ignored](w, http.MethodPost, path+"/promises", map[string]any{
		"for": "a look at it", "due": "2026-04-18", "party": o.party.ID,
	})
	found := send[openapi.Proposal](w, http.MethodPost, path+"/proposals", map[string]any{
		"says":     "the pins turn by hand",
		"findings": []any{map[string]any{"point": "SV-11", "value": "1", "unit": "N·m"}},
		"edits":    []any{map[string]any{"kind": "add", "operation": "CS-11"}},
		"price":    amount("480.00"),
	})
	if len(found.Undoes) == 0 {
		w.Fatalf("the proposal undoes nothing: %+v", found)
	}
	send[ignored](w, http.MethodPost, path+"/proposals/"+found.ID.String()+"/decision",
		map[string]any{
			"accept": true, "reason": "it would not hold its tuning", "again": []any{closed},
			"consent": map[string]any{"party": o.party.ID, "given_on": o.today, "how": "by letter"},
		})
	send[ignored](w, http.MethodPost, "/v1/plan", map[string]any{"schedules": 20, "seed": 1})
	send[ignored](w, http.MethodPost, "/v1/joins", map[string]any{"pianos": []any{map[string]any{
		"kind": "upright", "maker": "Tessmann", "size_mm": 1280, "notes": 88, "owner": "client",
		"client": "Edda Rosvall", "deposit": amount("600.00"), "depth": "recondition",
		"original_price": amount("1.00"), "cost_so_far": amount("2.00"), "accepted_on": "2026-02-02",
		"tasks": []any{
			map[string]any{"operation": "AC-01", "hours_done": "2.5", "hours_left": "6"},
		},
	}}})
}
