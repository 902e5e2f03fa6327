package api_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/stringing"
	"bentside/openapi"

	"github.com/shopspring/decimal"
)

func quantityOf(t *testing.T, off openapi.Takeoff, driver string) openapi.TakeoffQuantity {
	t.Helper()
	i := slices.IndexFunc(off.Quantities, func(q openapi.TakeoffQuantity) bool {
		return q.Driver == driver
	})
	if i < 0 {
		t.Fatalf("no %s in the take-off", driver)
	}
	return off.Quantities[i]
}

func TestAMeasurementGoesIntoTheTakeOffAndTheScope(t *testing.T) {
	t.Parallel()
	buyer := openShop(t).as(domain.Buyer)
	i, sv := surveyed(t, buyer)
	path := "/v1/instruments/" + i.ID.String()
	read := buyer.do(http.MethodGet, path+"/take-off", nil)
	off := want[openapi.Takeoff](t, read, http.StatusOK)
	if off.Survey != sv.ID || quantityOf(t, off, "damper").Basis != openapi.BasisAssumed ||
		quantityOf(t, off, "string").Basis != openapi.BasisComputed || len(off.Wire) == 0 {
		t.Errorf("got survey %s, %+v, %+v, %d sorts of wire",
			off.Survey, quantityOf(t, off, "damper"), quantityOf(t, off, "string"), len(off.Wire))
	}
	body := map[string]any{"measurements": []any{
		map[string]any{
			"driver": "damper", "value": "67", "by": "Ines Duarte", "why": "the last one is a dummy",
		},
		map[string]any{"driver": "m2 of case", "value": "8.85", "by": "Ines Duarte"},
	}}
	tag := read.header.Get("ETag")
	wantProblem(t, buyer.do(http.MethodPut, path+"/measurements", body),
		http.StatusPreconditionRequired, "precondition-required")
	put := buyer.do(http.MethodPut, path+"/measurements", body, "If-Match: "+tag)
	off = want[openapi.Takeoff](t, put, http.StatusOK)
	if q := quantityOf(t, off, "damper"); !q.Value.Equal(decimal.NewFromInt(67)) ||
		q.Basis != openapi.BasisKnown || !strings.Contains(q.Formula, "Ines Duarte") ||
		off.Version != 2 {
		t.Errorf("got version %d, %+v", off.Version, q)
	}
	wantProblem(t, buyer.do(http.MethodPut, path+"/measurements", body, "If-Match: "+tag),
		http.StatusPreconditionFailed, "stale-version")
	again := buyer.do(http.MethodGet, path+"/take-off", nil)
	if again.header.Get("ETag") != put.header.Get("ETag") ||
		string(again.body) != string(put.body) {
		t.Errorf("the take-off reads otherwise than it was answered\n%s\n%s", again.body, put.body)
	}
	scope := want[openapi.Scope](t,
		buyer.do(http.MethodPost, path+"/scopes", map[string]any{"survey": sv.ID, "depth": "restore"}),
		http.StatusCreated)
	seen := 0
	for _, l := range scope.Lines {
		if l.Driver == "damper" || l.Driver == "m2 of case" {
			seen++
			if l.Basis != openapi.ScopeLineBasisKnown {
				t.Errorf("%s counts %s %s (%s)", l.Operation, l.Quantity, l.Driver, l.Basis)
			}
		}
	}
	if seen == 0 {
		t.Error("no line scales with what was measured, so nothing is proved")
	}
	changed := buyer.do(http.MethodPut, path,
		with(wornGrand(), map[string]any{
			"notes": 60, "stringing": map[string]any{
				"last_single": 8, "last_pair": 20, "covered": 28,
			},
		}),
		"If-Match: "+again.header.Get("ETag"))
	if p := wantProblem(t, changed, http.StatusConflict, "conflict"); len(p.Chain) == 0 ||
		!strings.Contains(p.Chain[0], "damper") && !strings.Contains(p.Chain[0], "60") {
		t.Errorf("got %+v, want the contradiction in the chain", p)
	}
	if kept := want[openapi.Instrument](t,
		buyer.do(http.MethodPut, path, with(wornGrand(), map[string]any{"year": 1912}),
			"If-Match: "+again.header.Get("ETag")),
		http.StatusOK); kept.Version != 3 {
		t.Errorf("got version %d", kept.Version)
	}
	if off = want[openapi.Takeoff](t, buyer.do(http.MethodGet, path+"/take-off", nil),
		http.StatusOK); len(off.Measurements) != 2 {
		t.Errorf("after a correction of the record %d measurements are left", len(off.Measurements))
	}
}

func TestMeasurementsThatContradictAreAllToldAtOnce(t *testing.T) {
	t.Parallel()
	buyer := openShop(t).as(domain.Buyer)
	made := buyer.do(http.MethodPost, "/v1/instruments", wornGrand())
	path, tag := made.header.Get("Location"), made.header.Get("ETag")
	p := wantProblem(t,
		buyer.do(http.MethodPut, path+"/measurements", map[string]any{"measurements": []any{
			map[string]any{"driver": "hole (rest pin)", "value": "200", "by": "Ines Duarte"},
			map[string]any{"driver": "hammer", "value": "87", "by": "Ines Duarte"},
			map[string]any{"driver": "spoon", "value": "1", "by": "Ines Duarte"},
		}}, "If-Match: "+tag), http.StatusUnprocessableEntity, "validation")
	var got []string
	for _, e := range p.Errors {
		got = append(got, e.Pointer)
	}
	if w := []string{
		"#/measurements/0/value", "#/measurements/1/value", "#/measurements/2/driver",
	}; !slices.Equal(got, w) {
		t.Errorf("got %v, want %v", got, w)
	}
}

// scaleBody returns a scale over the worn grand's compass, with the breaks that its record has:
// singles to note 8, pairs to note 20, 28 notes covered.
func scaleBody() map[string]any {
	var notes []any
	for _, n := range stringing.Example(88) {
		row := map[string]any{
			"note": n.Number, "strings": 3, "wound": n.Number <= 18,
			"length_mm": decimal.NewFromFloat(n.LengthMM).String(),
			"core_mm":   decimal.NewFromFloat(n.CoreMM).Round(4).String(),
		}
		switch {
		case n.Number <= 8:
			row["strings"] = 1
		case n.Number <= 20:
			row["strings"] = 2
		}
		if n.Number <= 18 {
			row["overall_mm"] = decimal.NewFromFloat(n.OverallMM).String()
		} else if n.Number <= 27 {
			delete(row, "core_mm")
			row["gauge"] = "21"
		}
		notes = append(notes, row)
	}
	return map[string]any{"notes": notes}
}

func TestAnUnmeasuredScaleIsIllustrativeAndAMeasuredOneIsNot(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	buyer := s.as(domain.Buyer)
	made := buyer.do(http.MethodPost, "/v1/instruments", wornGrand())
	path := made.header.Get("Location")
	r := want[openapi.StringReport](t, buyer.do(http.MethodGet, path+"/stringing", nil), http.StatusOK)
	if r.Basis != openapi.BasisAssumed || !strings.Contains(r.Says, "illustrative") ||
		r.Strings != 236 || len(r.Notes) != 88 || r.BreakBasis != "a228_minimum" {
		t.Errorf("got %s of %d strings: %s", r.Basis, r.Strings, r.Says)
	}
	read := buyer.do(http.MethodGet, path+"/scale", nil)
	if none := want[openapi.StringScale](t, read, http.StatusOK); len(none.Notes) != 0 {
		t.Errorf("a scale that nobody measured: %+v", none.Notes)
	}
	put := buyer.do(http.MethodPut, path+"/scale", scaleBody(), "If-Match: "+read.header.Get("ETag"))
	if scale := want[openapi.StringScale](t, put, http.StatusOK); len(scale.Notes) != 88 ||
		scale.Notes[19].CoreMM.String() != "1.1938" || scale.Notes[87].Name != "C8" {
		t.Errorf("got %d notes, %+v", len(scale.Notes), scale.Notes[19])
	}
	if now := buyer.do(http.MethodGet, path+"/scale", nil); string(now.body) != string(put.body) ||
		now.header.Get("ETag") != `"v2"` {
		t.Errorf("the scale reads otherwise than it was answered: %s", now.header.Get("ETag"))
	}
	r = want[openapi.StringReport](t,
		buyer.do(http.MethodGet, path+
			"/stringing?pitch=435&basis=practical_limit&spare=0&coil_kg=1",
			nil),
		http.StatusOK)
	if r.Basis != openapi.BasisKnown || r.Measured != 88 || r.PitchHz.String() != "435" ||
		r.BreakBasis != "practical_limit" || !strings.Contains(r.BreakSays, "practical limit") {
		t.Errorf("got %s, %d measured, %s Hz, %s", r.Basis, r.Measured, r.PitchHz, r.BreakSays)
	}
	for _, w := range r.Wire {
		if !w.Kg.Equal(w.OrderKg) || w.Coils != 1 {
			t.Errorf("without spare: %+v", w)
		}
	}
	sum := decimal.Zero
	for _, x := range r.Sections {
		sum = sum.Add(x.TotalN)
	}
	if sum.Sub(r.TotalN).Abs().GreaterThan(decimal.NewFromInt(int64(len(r.Sections)))) {
		t.Errorf("the sections bear %s N of %s", sum, r.TotalN)
	}
	empty := want[openapi.StringScale](t,
		buyer.do(http.MethodPut, path+"/scale", map[string]any{"notes": []any{}}, `If-Match: "v2"`),
		http.StatusOK)
	if len(empty.Notes) != 0 || empty.Version != 3 {
		t.Errorf("a scale that was taken away: %+v", empty)
	}
}

func TestEveryRowOfAScaleIsToldAtOnce(t *testing.T) {
	t.Parallel()
	buyer := openShop(t).as(domain.Buyer)
	path := buyer.do(http.MethodPost, "/v1/instruments", wornGrand()).header.Get("Location")
	p := wantProblem(t, buyer.do(http.MethodPut, path+"/scale", map[string]any{"notes": []any{
		map[string]any{
			"note": 1, "strings": 1, "wound": true, "length_mm": "1385", "core_mm": "1.24",
			"overall_mm": "1.1",
		},
		map[string]any{
			"note": 2, "strings": 1, "wound": true, "length_mm": "1371", "core_mm": "1.24",
		},
		map[string]any{
			"note": 40, "strings": 3, "wound": false, "length_mm": "6460", "core_mm": "1.04",
		},
		map[string]any{"note": 41, "strings": 3, "wound": false, "length_mm": "613"},
	}}, `If-Match: "v1"`), http.StatusUnprocessableEntity, "validation")
	var got []string
	for _, e := range p.Errors {
		got = append(got, e.Pointer)
	}
	if w := []string{
		"#/notes/0/overall_mm", "#/notes/1/overall_mm", "#/notes/2/length_mm", "#/notes/3/core_mm",
	}; !slices.Equal(got, w) {
		t.Errorf("got %v, want %v", got, w)
	}
	for _, query := range []string{
		"pitch=0", "pitch=4400", "coil_kg=0", "basis=hearsay", "spare=2",
	} {
		wantProblem(t, buyer.do(http.MethodGet, path+"/stringing?"+query, nil),
			http.StatusUnprocessableEntity, "validation")
	}
}

// A bid depends on what was measured, so its inputs keep it.
func TestABidKeepsWhatWasMeasured(t *testing.T) {
	t.Parallel()
	buyer := openShop(t).as(domain.Buyer)
	i, sv := surveyed(t, buyer)
	path := "/v1/instruments/" + i.ID.String()
	buyer.do(http.MethodPut, path+"/measurements",
		map[string]any{
			"measurements": []any{
				map[string]any{"driver": "damper", "value": "67", "by": "Ines Duarte"},
			},
		},
		`If-Match: "v1"`)
	bid := want[openapi.Bid](t, buyer.do(http.MethodPost, path+"/bids", map[string]any{
		"survey": sv.ID, "transport_in": amount("380.00"),
		"ways": []any{map[string]any{"depth": "restore", "sale_price": amount("48500.00")}},
	}), http.StatusCreated)
	buyer.do(http.MethodPut, path+"/measurements", map[string]any{"measurements": []any{}},
		`If-Match: "v2"`)
	again := want[openapi.Recomputation](t,
		buyer.do(http.MethodPost, "/v1/bids/"+bid.ID.String()+"/recomputation", nil), http.StatusOK)
	if !again.Identical {
		t.Errorf("got %+v after the measurement was taken back", again)
	}
	if inputs := buyer.do(http.MethodGet, "/v1/bids/"+bid.ID.String()+"/inputs",
		nil); !strings.Contains(string(inputs.body), `"measured":[{"driver":"damper","value":"67"`) {
		t.Error("the bid's inputs do not hold the measurement")
	}
}

func TestCautionsGoWithTheLineTheJobAndTheSale(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	owner := s.as(domain.Owner)
	i, sv := surveyedOurs(t, owner)
	path := "/v1/instruments/" + i.ID.String()
	scope := want[openapi.Scope](t,
		owner.do(http.MethodPost, path+"/scopes", map[string]any{"survey": sv.ID, "depth": "restore"}),
		http.StatusCreated)
	seen := false
	for _, l := range scope.Lines {
		if l.Making != "outside" && len(l.CautionNotes) != len(l.Cautions) {
			t.Errorf("%s has %d cautions and says %d", l.Operation, len(l.Cautions), len(l.CautionNotes))
		}
		for _, k := range l.CautionNotes {
			if k.Key == "string_tension" && k.Figure != nil && k.Figure.Unit == "N" &&
				strings.Contains(k.Says, "over 236 strings") {
				seen = true
			}
		}
	}
	if !seen || scope.Deference == "" {
		t.Errorf("no line tells the string load, or nothing is deferred to: %q", scope.Deference)
	}
	sale := want[openapi.CautionList](t, owner.do(http.MethodGet, path+"/cautions", nil),
		http.StatusOK)
	var keys []string
	for _, k := range sale.Items {
		keys = append(keys, k.Key)
	}
	if w := []string{"tax", "description", "lifting"}; !slices.Equal(keys, w) ||
		sale.Deference == "" {
		t.Errorf("got %v, want %v", keys, w)
	}
	light := want[openapi.Scope](t,
		owner.do(http.MethodPost, path+"/scopes", map[string]any{"survey": sv.ID, "depth": "as_found"}),
		http.StatusCreated)
	accepted := owner.do(http.MethodPost, "/v1/jobs", map[string]any{
		"scope": light.ID, "accepted_on": "2026-11-24",
	})
	job := want[openapi.Job](t, accepted, http.StatusCreated)
	card := want[openapi.CautionList](t,
		s.as(domain.Bench).do(http.MethodGet, "/v1/jobs/"+job.ID.String()+"/cautions", nil),
		http.StatusOK)
	tension := slices.IndexFunc(card.Items, func(k openapi.Caution) bool {
		return k.Key == "string_tension"
	})
	if tension < 0 || !slices.Contains(card.Items[tension].Operations, "TU-01") ||
		card.Deference == "" {
		t.Errorf("got %+v, want the string load at the tuning", card)
	}
	wantProblem(t, owner.do(http.MethodGet, "/v1/jobs/"+newID(t).String()+"/cautions", nil),
		http.StatusNotFound, "not-found")
}

// A record that was written offline may be sent again, however late: it is the same record, though
// the instrument has been measured since.
func TestAnInstrumentSentAgainAfterItWasMeasuredIsTheSame(t *testing.T) {
	t.Parallel()
	buyer := openShop(t).as(domain.Buyer)
	path := "/v1/instruments/" + newID(t).String()
	want[openapi.Instrument](t, buyer.do(http.MethodPut, path, wornGrand(), "If-None-Match: *"),
		http.StatusCreated)
	measured := map[string]any{
		"measurements": []any{
			map[string]any{"driver": "damper", "value": "67", "by": "Ines Duarte"},
		},
	}
	want[openapi.Takeoff](t,
		buyer.do(http.MethodPut, path+"/measurements", measured, `If-Match: "v1"`), http.StatusOK)
	if again := want[openapi.Instrument](t,
		buyer.do(http.MethodPut, path, wornGrand(), "If-None-Match: *"),
		http.StatusOK); again.Version != 2 {
		t.Errorf("got version %d, want the measured one", again.Version)
	}
	wantProblem(t,
		buyer.do(http.MethodPut, path, with(wornGrand(), map[string]any{"year": 1912}),
			"If-None-Match: *"),
		http.StatusPreconditionFailed, "stale-version")
}
