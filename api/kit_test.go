package api_test

import (
	"net/http"
	"strings"
	"sync"
	"testing"

	"bentside/openapi"
)

// kitted is a shop with a kit of 30 m of wire and 2 pins, and what is there of both.
type kitted struct {
	stockedShop
	kit, pins string
}

func kittedShop(t *testing.T, pins string) kitted {
	t.Helper()
	k := kitted{stockedShop: stocked(t), kit: "/v1/kits/" + newID(t).String()}
	k.receive(t, "4", "100.00")
	class := want[openapi.Part](t, k.keeper.do(http.MethodGet, k.wire, nil), http.StatusOK).Class
	k.pins = partOf(t, k.keeper, class.String(), "PIN-5")
	if pins != "0" {
		want[any](t, k.keeper.do(http.MethodPost, k.pins+"/moves", map[string]any{
			"kind": "receipt", "quantity": pins, "value": amount("8.00"),
		}), http.StatusCreated)
	}
	want[openapi.Kit](t, k.keeper.do(http.MethodPut, k.kit, k.settings("2"), "If-None-Match: *"),
		http.StatusCreated)
	return k
}

func (k kitted) settings(pins string) map[string]any {
	return map[string]any{"name": "a section", "lines": []any{
		map[string]any{"part": strings.TrimPrefix(k.wire, "/v1/parts/"), "quantity": "30"},
		map[string]any{"part": strings.TrimPrefix(k.pins, "/v1/parts/"), "quantity": pins},
	}}
}

func (k kitted) issueTo(job any, times int) answer {
	return k.bench.do(http.MethodPost, k.kit+"/issues", map[string]any{"job": job, "times": times})
}

// held returns what is in stock of a part.
func held(tb testing.TB, c *client, part string) string {
	tb.Helper()
	moves := want[openapi.StockMovePage](tb, c.do(http.MethodGet, part+"/moves", nil),
		http.StatusOK).Items
	if len(moves) == 0 {
		return "0"
	}
	return moves[len(moves)-1].Held.String()
}

// The bench issues a kit by one request, and its moves stay when the kit is changed. What is short
// is named, and then nothing is issued.
func TestAKitIsIssuedByItsMovesOrNotAtAll(t *testing.T) {
	t.Parallel()
	k := kittedShop(t, "5")
	x := want[openapi.KitIssue](t, k.issueTo(k.job.ID, 2), http.StatusCreated)
	if len(x.Moves) != 2 || x.Moves[0].Quantity.String() != "-60" || x.Moves[0].Job != k.job.ID ||
		x.Moves[1].Quantity.String() != "-4" || x.Moves[1].Reference != "a section" || x.Version != 1 ||
		x.Moves[0].Value != nil {
		t.Errorf("issued as %+v", x)
	}
	want[openapi.Kit](t, k.keeper.do(http.MethodPut, k.kit, k.settings("3"), `If-Match: "v1"`),
		http.StatusOK)
	p := wantProblem(t, k.issueTo(k.job.ID, 2), http.StatusConflict, "conflict")
	if len(p.Errors) != 2 || p.Errors[0].Detail != "W-17 lacks 20 m, of which 40 are there" ||
		p.Errors[1].Detail != "PIN-5 lacks 5 m, of which 1 are there" {
		t.Errorf("it lacks %+v", p.Errors)
	}
	wire, pins := held(t, k.keeper, k.wire), held(t, k.keeper, k.pins)
	if wire != "40" || pins != "1" {
		t.Errorf("%s of the wire and %s pins are there", wire, pins)
	}
	x2 := want[openapi.StockMove](t, k.bench.do(http.MethodPost, k.pins+"/moves", map[string]any{
		"kind": "return", "quantity": "1", "of": x.Moves[1].ID,
	}), http.StatusCreated)
	if x2.Held.String() != "2" {
		t.Errorf("%s pins are there after a return", x2.Held)
	}
}

func TestAKitThatIsWronglyIssuedNamesTheField(t *testing.T) {
	t.Parallel()
	k := kittedShop(t, "5")
	for pointer, body := range map[string]map[string]any{
		"#/job":       {"job": newID(t)},
		"#/times":     {"job": k.job.ID, "times": -1},
		"#/operation": {"job": k.job.ID, "operation": "XX-99"},
		"#/on":        {"job": k.job.ID, "on": "2199-01-01"},
	} {
		p := wantProblem(t, k.bench.do(http.MethodPost, k.kit+"/issues", body),
			http.StatusUnprocessableEntity, "validation")
		if len(p.Errors) == 0 || p.Errors[0].Pointer != pointer {
			t.Errorf("%v names %+v, want %s", body, p.Errors, pointer)
		}
	}
	wantProblem(t, k.bench.do(http.MethodPost, "/v1/kits/"+newID(t).String()+"/issues",
		map[string]any{"job": k.job.ID}), http.StatusNotFound, "not-found")
	wantProblem(t, k.keeper.do(http.MethodPut, "/v1/kits/"+newID(t).String(), k.settings("-2"),
		"If-None-Match: *"), http.StatusUnprocessableEntity, "validation")
	wantProblem(t, k.keeper.do(http.MethodPut, "/v1/kits/"+newID(t).String(), k.settings("2"),
		"If-None-Match: *"), http.StatusConflict, "conflict") // the name is taken
}

func TestOfManyWhoIssueAKitAtOnceOneGetsTheLastPins(t *testing.T) {
	t.Parallel()
	k := kittedShop(t, "3")
	const hands = 6
	answers := make([]answer, hands)
	var all sync.WaitGroup
	for i := range hands {
		all.Go(func() { answers[i] = k.issueTo(k.job.ID, 1) })
	}
	all.Wait()
	made := 0
	for _, a := range answers {
		if a.status == http.StatusCreated {
			made++
			continue
		}
		p := wantProblem(t, a, http.StatusConflict, "conflict")
		if !strings.Contains(p.Detail, "PIN-5 lacks 1 m, of which 1 are there") {
			t.Errorf("refused with %q", p.Detail)
		}
	}
	if wire := held(t, k.keeper, k.wire); made != 1 || wire != "70" {
		t.Errorf("%d got the kit, and %s m of wire are there", made, wire)
	}
}
