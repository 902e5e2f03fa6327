package api_test

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/openapi"

	"github.com/google/uuid"
)

// walker sends the requests that use the operations of one resource, in a workshop of its own.
type walker struct {
	testing.TB
	owner, nobody *client
}

// walks use every operation. Each goes through a workshop of its own, and an operation is recorded
// in the first walk that uses it, so that a new operation leaves the examples of other walks alone.
var walks = []func(*walker){
	(*walker).service,
	(*walker).workshop,
	(*walker).catalogue,
	func(w *walker) { w.buying() },
	func(w *walker) { w.scopes(w.buying()) },
	func(w *walker) {
		i, s := w.buying()
		w.bids(i, s, w.scopes(i, s))
	},
	func(w *walker) { w.jobs(w.scopes(w.buying())) },
	(*walker).clearances,
	(*walker).clients,
	(*walker).sendings,
	(*walker).joins,
	func(w *walker) { w.hours(w.scopes(w.buying())) },
	(*walker).stock,
	(*walker).costs,
	(*walker).sales,
	(*walker).consignments,
	(*walker).contracts,
	(*walker).writeDowns,
	(*walker).supply,
	(*walker).opening,
	(*walker).events,
	(*walker).books,
	(*walker).overhead,
}

// walkThrough goes on all walks and returns the steady exchanges by operation.
func walkThrough(t *testing.T) map[string][]byte {
	t.Helper()
	monday := time.Date(2026, time.March, 2, 9, 0, 0, 0, time.UTC)
	kept := map[string][]byte{}
	for _, walk := range walks {
		s := openShopAt(t, func() time.Time { return monday })
		r := &recorder{
			tb: t, next: &checkedTransport{tb: t}, kept: kept, ids: map[string]string{},
			hashes: map[string]string{},
		}
		w := &walker{TB: t, owner: s.as(domain.Owner), nobody: newClient(t, s.url, "")}
		w.owner.http.Transport, w.nobody.http.Transport = r, r
		walk(w)
	}
	return kept
}

// get sends a GET that must succeed.
func (w *walker) get(path string) answer {
	w.Helper()
	a := w.owner.do(http.MethodGet, path, nil)
	if a.status != http.StatusOK {
		w.Fatalf("GET %s answered %d: %s", path, a.status, a.body)
	}
	return a
}

// send sends a request that must succeed, and decodes the answer.
func send[T any](w *walker, method, path string, body any, headers ...string) T {
	w.Helper()
	a := w.owner.do(method, path, body, headers...)
	if a.status >= 300 {
		w.Fatalf("%s %s answered %d: %s", method, path, a.status, a.body)
	}
	if a.status == http.StatusNoContent {
		var none T
		return none
	}
	return want[T](w, a, a.status)
}

// ignored is an answer that a step does not need.
type ignored = map[string]any

func (w *walker) service() {
	for _, path := range []string{
		"/livez", "/readyz", "/openapi.json", "/problems/validation",
	} {
		if a := w.nobody.do(http.MethodGet, path, nil); a.status != http.StatusOK {
			w.Errorf("%s answered %d: %s", path, a.status, a.body)
		}
	}
}

func (w *walker) workshop() {
	w.get("/v1/me")
	shop := w.get("/v1/workshop")
	settings := want[ignored](w, shop, http.StatusOK)
	for _, key := range []string{"id", "version", "created_at"} {
		delete(settings, key)
	}
	settings["name"] = "Oficina do Cais, Porto"
	send[ignored](w, http.MethodPut, "/v1/workshop", settings, "If-Match: "+shop.header.Get("ETag"))
	send[ignored](w, http.MethodPost, "/v1/workshop/confirmations",
		map[string]any{"keys": []string{"holidays", "people"}})
	w.get("/v1/workshop/confirmations")
	issued := send[openapi.IssuedToken](w, http.MethodPost, "/v1/tokens",
		map[string]any{
			"note":   "the bookkeeper's program",
			"member": map[string]any{"name": "Rui Bastos", "role": "bookkeeper"},
		})
	w.get("/v1/tokens")
	send[ignored](w, http.MethodDelete, "/v1/tokens/"+issued.Token.ID.String(), nil)
	hand := "/v1/people/" + w.id()
	send[ignored](w, http.MethodPut, hand, map[string]any{
		"name": "Bruno Vale", "skills": []string{"stringing", "belly"}, "productive_share": "0.72",
	}, "If-None-Match: *")
	w.get(hand)
	w.get("/v1/people")
	place := "/v1/stations/" + w.id()
	send[ignored](w, http.MethodPut, place, map[string]any{
		"name": "second bench", "count": 1, "room": "workshop",
	},
		"If-None-Match: *")
	w.get(place)
	w.get("/v1/stations")
	bench := want[openapi.StationPage](w, w.get("/v1/stations"), http.StatusOK).Items[0]
	closed := send[openapi.Absence](w, http.MethodPost, "/v1/absences", map[string]any{
		"station": bench.ID, "places": 1, "first": "2026-08-10", "last": "2026-08-14",
		"why": "the vice is being replaced",
	})
	w.get("/v1/absences")
	send[ignored](w, http.MethodPost, "/v1/absences/"+closed.ID.String()+
		"/withdrawal", map[string]any{
		"why": "done in an afternoon",
	})
	w.get("/v1/units")
	party := w.id()
	send[ignored](w, http.MethodPut, "/v1/parties/"+party,
		map[string]any{"name": "Ines Ferradal", "note": "calls in the evening"}, "If-None-Match: *")
	w.get("/v1/parties/" + party)
	w.get("/v1/parties?name=ines")
}

func (w *walker) catalogue() {
	latest := w.get("/v1/catalogue")
	document := want[ignored](w, latest, http.StatusOK)
	send[ignored](w, http.MethodPut, "/v1/catalogue",
		map[string]any{"note": "as it was shipped", "document": document["document"]},
		"If-Match: "+latest.header.Get("ETag"))
	w.get("/v1/catalogue/revisions")
	w.get("/v1/catalogue/revisions/1")
	files := w.get("/v1/catalogue/revisions/1/export")
	send[ignored](w, http.MethodPost, "/v1/catalogue/import?dry_run=true",
		string(files.body), "Content-Type: application/zip",
		"If-Match: "+w.get("/v1/catalogue").header.Get("ETag"))
	w.get("/v1/catalogue/offers?rate=1.25")
	send[ignored](w, http.MethodPost, "/v1/catalogue/offers",
		map[string]any{"all": true, "rate": "1.25", "note": "prices at the new rate"},
		"If-Match: "+w.get("/v1/catalogue").header.Get("ETag"))
}

func (w *walker) buying() (openapi.Instrument, openapi.Survey) {
	i := send[openapi.Instrument](w, http.MethodPost, "/v1/instruments", wornGrand())
	at := "/v1/instruments/" + i.ID.String()
	w.get(at)
	i = send[openapi.Instrument](w, http.MethodPut,
		at, with(wornGrand(), map[string]any{"model": "Salon"}), `If-Match: "v1"`)
	w.get("/v1/instruments?find=418&state=considered")
	w.get(at + "/take-off")
	send[ignored](w, http.MethodPut, at+"/measurements", map[string]any{"measurements": []any{
		map[string]any{"driver": "damper", "value": "66", "by": "Ines Duarte", "why": "counted"},
	}}, "If-Match: "+w.get(at).header.Get("ETag"))
	send[ignored](w, http.MethodPut,
		at+"/scale", scaleBody(), "If-Match: "+w.get(at+"/scale").header.Get("ETag"))
	w.get(at + "/stringing")
	w.get(at + "/cautions")
	s := send[openapi.Survey](w, http.MethodPost, at+"/surveys", map[string]any{
		"taken_on": "2026-03-02", "taken_by": "Ines Duarte",
		"findings": []any{
			map[string]any{"point": "SV-03", "where": "note 1", "value": "50.5", "unit": "mm"},
			map[string]any{"point": "SV-13", "where": "treble", "value": "7.26", "unit": "mm"},
			map[string]any{"point": "SV-29", "flag": false},
			map[string]any{"point": "SV-42", "answer": "plastic"},
			map[string]any{"point": "SV-53", "value": "0"},
			map[string]any{"point": "SV-54", "value": "0"},
			map[string]any{"point": "SV-55", "flag": false},
			map[string]any{"point": "SV-61", "answer": "none"},
		},
	})
	w.get(at + "/surveys")
	survey := "/v1/surveys/" + s.ID.String()
	w.get(survey)
	send[ignored](w, http.MethodPut, survey+"/findings/"+w.id(),
		map[string]any{"point": "SV-03", "where": "note 88", "value": "5.1", "unit": "cm"},
		"If-None-Match: *")
	w.get(survey + "/judgements")
	odd := send[openapi.Finding](w, http.MethodPost, survey+"/findings", map[string]any{
		"point": "SV-20", "value": "60", "unit": "years",
	})
	send[ignored](w, http.MethodDelete, survey+"/findings/"+odd.ID.String(),
		nil, "If-Match: "+w.get(survey).header.Get("ETag"))
	return i, s
}

func (w *walker) scopes(i openapi.Instrument, s openapi.Survey) openapi.Scope {
	at := "/v1/instruments/" + i.ID.String() + "/scopes"
	scope := send[openapi.Scope](w, http.MethodPost, at, map[string]any{
		"survey": s.ID, "depth": "recondition",
	})
	other := send[openapi.Scope](w, http.MethodPost, at, map[string]any{
		"survey": s.ID, "depth": "as_found",
	})
	w.get(at)
	path := "/v1/scopes/" + scope.ID.String()
	scope = send[openapi.Scope](w, http.MethodPut, path+"/edits", map[string]any{"edits": []any{
		map[string]any{"kind": "add", "operation": "AC-06", "why": "the client wants new hammers"},
	}}, "If-Match: "+w.get(path).header.Get("ETag"))
	w.get(path + "/estimate")
	w.get(path + "/dates")
	w.get(path + "/comparison?with=" + other.ID.String())
	w.get(path + "/make-or-buy")
	w.get(path + "/choices")
	send[ignored](w, http.MethodPatch, "/v1/catalogue", map[string]any{
		"note": "hours by what we booked",
		"edits": []any{map[string]any{"why": "slower since the move", "set": map[string]any{
			"operation": "TU-01", "hours": map[string]any{"grand": map[string]any{
				"low": "2", "high": "4", "baseline": "1", "setup": "2.5", "rate": "0",
			}},
		}}},
	}, "If-Match: "+w.get("/v1/catalogue").header.Get("ETag"))
	w.get(path + "/catalogue-move?to=2")
	scope = send[openapi.Scope](w, http.MethodPost, path+"/catalogue-move", map[string]any{},
		"If-Match: "+w.get(path).header.Get("ETag"))
	return scope
}

func (w *walker) bids(i openapi.Instrument, s openapi.Survey, scope openapi.Scope) {
	at := "/v1/instruments/" + i.ID.String() + "/bids"
	bid := send[openapi.Bid](w, http.MethodPost, at, map[string]any{
		"survey": s.ID, "transport_in": amount("380.00"), "premium_share": "0.12",
		"seller_asks": amount("900.00"),
		"taken_on": []any{map[string]any{
			"point": "SV-63", "by": "Ines Duarte", "why": "has tuned it in that house for years",
		}},
		"ways": []any{
			map[string]any{
				"depth": "recondition", "sale_price": amount("19800.00"), "scope": scope.ID,
			},
		},
	})
	w.get(at)
	path := "/v1/bids/" + bid.ID.String()
	w.get(path)
	w.get(path + "/inputs")
	w.get(path + "/sheet")
	send[ignored](w, http.MethodPost, path+"/recomputation", nil)
	send[ignored](w, http.MethodPost, path+"/offers", map[string]any{
		"kind": "offered", "amount": amount("600.00"), "note": "by telephone",
	})
	w.get(path + "/offers")
	w.get("/v1/bids?state=open")
}

func (w *walker) jobs(scope openapi.Scope) {
	at := "/v1/instruments/" + scope.Instrument.String()
	send[ignored](w, http.MethodPut, at,
		with(wornGrand(), map[string]any{"model": "Salon", "owner": "stock"}),
		"If-Match: "+w.get(at).header.Get("ETag"))
	job := send[openapi.Job](w, http.MethodPost, "/v1/jobs", map[string]any{
		"scope": scope.ID, "accepted_on": "2026-03-02",
	})
	w.get("/v1/jobs")
	path := "/v1/jobs/" + job.ID.String()
	w.get(path)
	w.get(path + "/cautions")
	job = send[openapi.Job](w, http.MethodPut, path+"/place", map[string]any{"place": 1},
		"If-Match: "+w.get(path).header.Get("ETag"))
	w.get(path + "/baseline")
	w.get(path + "/dates")
	task := path + "/tasks/" + job.Tasks[0].Operation + "/progress"
	hand := w.id()
	send[ignored](w, http.MethodPut, "/v1/people/"+hand, map[string]any{
		"name": "Ada Fernwood", "skills": []string{"haulage"}, "productive_share": "0.7",
	}, "If-None-Match: *")
	send[ignored](w, http.MethodPost, task, map[string]any{
		"hours": "2", "left": "1.5", "finished": false, "person": hand,
		"note": "the stairs were narrow",
	})
	w.get(task)
	send[ignored](w, http.MethodPost, "/v1/plan", map[string]any{"schedules": 200, "seed": 1})
	w.get("/v1/plan")
	w.get("/v1/plan/jobs/" + job.ID.String() + "/tasks/" + job.Tasks[3].Operation + "/why")
	job = send[openapi.Job](w, http.MethodPost, path+"/suspensions", map[string]any{
		"operation": job.Tasks[1].Operation, "why": "the wire is late", "until": "2026-03-16",
		"keeps_station": false,
	})
	w.get(path + "/suspensions")
	send[ignored](w, http.MethodPost,
		path+"/suspensions/"+job.Suspensions[0].ID.String()+"/resumption",
		map[string]any{"why": "the wire has come"})
	promise := send[openapi.Promise](w, http.MethodPost, path+"/promises", map[string]any{
		"for": "ready in the showroom", "due": "2026-06-19", "confidence": "0.8",
	})
	w.get(path + "/promises")
	send[ignored](w, http.MethodPost, path+"/promises/"+promise.ID.String()+
		"/outcome", map[string]any{
		"withdrawn": true, "on": "2026-03-02", "why": "more was found",
	})
	found := send[openapi.Proposal](w, http.MethodPost, path+"/proposals", map[string]any{
		"says":     "the pins turn by hand",
		"findings": []any{map[string]any{"point": "SV-11", "value": "1", "unit": "N·m"}},
	})
	w.get(path + "/proposals")
	send[ignored](w, http.MethodPost, path+"/proposals/"+found.ID.String()+
		"/decision", map[string]any{
		"accept": true, "reason": "it would not hold its tuning",
	})
	w.get(path + "/cost-to-go?sale=19800.00&depth=as_found&depth_sale=2600.00" +
		"&parts_sale=700.00&parts_hours=14")
	send[ignored](w, http.MethodPost, path+"/closing", map[string]any{
		"outcome": "abandoned", "closed_on": "2026-03-02",
		"why": "the frame is cracked through the tenor",
	})
}

// clearances clears the ivory of a grand that is offered.
func (w *walker) clearances() {
	i := send[openapi.Instrument](w, http.MethodPost, "/v1/instruments",
		with(wornGrand(), map[string]any{"covering": "ivory", "country": "GB"}))
	at := "/v1/instruments/" + i.ID.String()
	send[ignored](w, http.MethodPost, at+"/clearances", map[string]any{
		"stop": "ivory-register", "by": "Ines Duarte", "says": "the seller's registration, seen",
		"reference": "7QX4-2M", "dated": "2026-02-11",
	})
	w.get(at + "/clearances")
	w.get(at + "/stops")
}

// clients quotes for a client's piano and accepts the work.
func (w *walker) clients() {
	party := w.id()
	send[ignored](w, http.MethodPut, "/v1/parties/"+party, map[string]any{"name": "Rosa Lindqvist"},
		"If-None-Match: *")
	i := send[openapi.Instrument](w, http.MethodPost, "/v1/instruments",
		with(wornGrand(), map[string]any{"owner": "client", "party": party}))
	at := "/v1/instruments/" + i.ID.String()
	s := send[openapi.Survey](w, http.MethodPost, at+"/surveys", map[string]any{
		"taken_on": "2026-03-02", "taken_by": "Ines Duarte", "findings": []any{},
	})
	scope := send[openapi.Scope](w, http.MethodPost, at+"/scopes", map[string]any{
		"survey": s.ID, "depth": "recondition",
	})
	q := send[openapi.Quotation](w, http.MethodPost, at+"/quotations", map[string]any{
		"party": party, "valid_until": "2026-04-30", "deposit": amount("500.00"),
		"options": []any{
			map[string]any{
				"scope": scope.ID, "title": "Reconditioned", "net": amount("6200.00"), "tax_rate": "0.23",
			},
		},
	})
	w.get(at + "/quotations")
	w.get("/v1/quotations/" + q.ID.String())
	w.get("/v1/quotations?state=open")
	q = send[openapi.Quotation](w, http.MethodPost, "/v1/quotations/"+q.ID.String()+"/answer",
		map[string]any{"accepted": true, "option": 1, "on": "2026-03-02"})
	limit := "/v1/jobs/" + q.Job.String() + "/spending-limits"
	send[ignored](w, http.MethodPost, limit, map[string]any{
		"limit": amount("400.00"), "party": party, "agreed_on": "2026-03-02",
		"how": "in the letter of acceptance",
	})
	w.get(limit)
}

// hours enters what somebody worked in the week before, corrects it and approves it.
func (w *walker) hours(scope openapi.Scope) {
	at := "/v1/instruments/" + scope.Instrument.String()
	send[ignored](w, http.MethodPut, at,
		with(wornGrand(), map[string]any{"model": "Salon", "owner": "stock"}),
		"If-Match: "+w.get(at).header.Get("ETag"))
	job := send[openapi.Job](w, http.MethodPost, "/v1/jobs", map[string]any{
		"scope": scope.ID, "accepted_on": "2026-02-23",
	})
	hand := w.id()
	send[ignored](w, http.MethodPut, "/v1/people/"+hand, map[string]any{
		"name": "Ada Fernwood", "skills": []string{"haulage"}, "productive_share": "0.7",
		"on_payroll": false,
	}, "If-None-Match: *")
	carried := send[openapi.TimeEntry](w, http.MethodPost, "/v1/time-entries", map[string]any{
		"person": hand, "job": job.ID, "operation": job.Tasks[0].Operation,
		"worked_on": "2026-02-27", "minutes": 195, "from": "08:30", "to": "12:00",
	})
	send[ignored](w, http.MethodPost, "/v1/time-entries", map[string]any{
		"person": hand, "duty": "upkeep", "worked_on": "2026-02-27", "hours": "1.25",
	})
	send[ignored](w, http.MethodPost, "/v1/time-entries/"+carried.ID.String()+"/reversal",
		map[string]any{"minutes": 60, "why": "an hour of it was another piano's"})
	w.get("/v1/jobs/" + job.ID.String() + "/time-entries")
	send[ignored](w, http.MethodPost, "/v1/people/"+hand+"/approvals", map[string]any{
		"week": "2026-02-23", "minutes": 210,
	})
	w.get("/v1/people/" + hand + "/timesheets/2026-02")
}

// events reads the feed of a workshop that did something.
func (w *walker) events() {
	send[openapi.Instrument](w, http.MethodPost, "/v1/instruments", wornGrand())
	w.get("/v1/events?limit=3")
}

// joins takes over the work in progress of another workshop.
func (w *walker) joins() {
	form := string(w.get("/v1/joins/form").body)
	columns := strings.Split(strings.TrimSpace(form), ",")
	row := func(cells map[string]string) string {
		line := make([]string, len(columns))
		for i, c := range columns {
			line[i] = cells[strings.TrimPrefix(c, "\ufeff")]
		}
		return strings.Join(line, ",") + "\r\n"
	}
	file := strings.TrimRight(form, "\r\n") + "\r\n" + row(map[string]string{
		"row": "piano", "ref": "A", "kind": "grand", "maker": "Aldermere", "size_mm": "1850",
		"notes": "88", "owner": "stock", "stock_number": "K-118", "original_price": "2500.00",
		"cost_so_far": "1800.00", "depth": "restore", "accepted_on": "2026-02-02",
		"promised_on": "2026-12-18",
	}) + row(map[string]string{
		"row": "task", "ref": "A", "operation": "DS-01", "hours_done": "6", "hours_left": "0",
	}) +
		row(map[string]string{
			"row": "task", "ref": "A", "operation": "BD-02", "hours_done": "9.5", "hours_left": "14",
		})
	send[ignored](w, http.MethodPost, "/v1/joins", file, "Content-Type: text/csv")
}

// id returns a new id, as a client makes it.
func (w *walker) id() string { return uuid.Must(uuid.NewV7()).String() }
