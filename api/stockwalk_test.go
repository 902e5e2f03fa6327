package api_test

import (
	"net/http"
	"strings"
	"testing"

	"bentside/openapi"
)

// partOf adds a part that is bought by the coil of 25 m, and returns its address.
func partOf(tb testing.TB, c *client, class, code string) string {
	tb.Helper()
	at := "/v1/parts/" + newID(tb).String()
	want[openapi.Part](tb, c.do(http.MethodPut, at, map[string]any{
		"code": code, "name": "music wire", "class": class, "unit": "m", "purchase_unit": "coil",
		"content": "25", "minimum": "50",
	}, "If-None-Match: *"), http.StatusCreated)
	return at
}

// stock receives wire, issues some of it to a job and takes some back.
func (w *walker) stock() {
	class := "/v1/part-classes/" + w.id()
	send[ignored](w, http.MethodPut, class, map[string]any{"name": "wire", "method": "fifo"},
		"If-None-Match: *")
	w.get(class)
	w.get("/v1/part-classes")
	wire := "/v1/parts/" + w.id()
	send[ignored](w, http.MethodPut, wire, map[string]any{
		"code": "W-17", "name": "music wire 17", "class": want[openapi.PartClass](w, w.get(class),
			http.StatusOK).ID, "unit": "m", "purchase_unit": "coil", "content": "25", "minimum": "150",
	}, "If-None-Match: *")
	w.get(wire)
	w.get("/v1/parts?code=w")
	j := jobUnderWay(w, w.owner)
	w.move(wire, map[string]any{
		"kind": "receipt", "quantity": "10", "unit": "coil", "value": amount("180.00"),
		"reference": "delivery note 4411",
	})
	m := w.move(wire, map[string]any{
		"kind": "issue", "quantity": "112.5", "job": j.ID, "operation": j.Tasks[0].Operation,
	})
	w.move(wire, map[string]any{"kind": "return", "quantity": "4.5", "of": m.ID})
	w.get(wire + "/moves/" + m.ID.String())
	w.get(wire + "/moves")
	w.get("/v1/stock")
	kit := "/v1/kits/" + w.id()
	send[ignored](w, http.MethodPut, kit, map[string]any{
		"name": "strings of the treble", "lines": []any{map[string]any{
			"part": want[openapi.Part](w, w.get(wire), http.StatusOK).ID, "quantity": "24",
		}},
	}, "If-None-Match: *")
	w.get(kit)
	w.get("/v1/kits")
	send[ignored](w, http.MethodPost, kit+"/issues", map[string]any{"job": j.ID, "times": 2})
	w.overCounter(strings.TrimPrefix(wire, "/v1/parts/"), nil)
}

// overCounter sells some of a part over the counter, with what else there is to say of the sale,
// and takes some of that back.
func (w *walker) overCounter(part string, more map[string]any) {
	w.Helper()
	x := send[openapi.CounterSale](w, http.MethodPost, "/v1/counter-sales", with(map[string]any{
		"lines":     []any{map[string]any{"part": part, "quantity": "6", "price": amount("18.00")}},
		"reference": "till 14",
	}, more))
	at := "/v1/counter-sales/" + x.ID.String()
	send[ignored](w, http.MethodPost, at+"/returns", map[string]any{
		"lines": []any{map[string]any{"line": 1, "quantity": "2"}}, "note": "too thin",
	})
	w.get(at)
	w.get("/v1/counter-sales")
}

func (w *walker) move(part string, body map[string]any) openapi.StockMove {
	w.Helper()
	return send[openapi.StockMove](w, http.MethodPost, part+"/moves", body)
}

// rarelyOfStock moves a part in every way.
func (w *walker) rarelyOfStock() {
	class, supplier := w.id(), w.id()
	send[ignored](w, http.MethodPut, "/v1/parties/"+supplier, map[string]any{"name": "Felt & Wire"},
		"If-None-Match: *")
	send[ignored](w, http.MethodPut, "/v1/part-classes/"+class,
		map[string]any{"name": "wire", "method": "fifo"}, "If-None-Match: *")
	send[ignored](w, http.MethodPut, "/v1/part-classes/"+class,
		map[string]any{"name": "music wire", "method": "fifo"}, `If-Match: "v1"`)
	wire := "/v1/parts/" + w.id()
	part := map[string]any{
		"code": "W-17", "name": "wire 17", "class": class, "unit": "m", "purchase_unit": "coil",
		"content": "25", "supplier": supplier, "serves": []any{map[string]any{
			"operation": "ST-02", "material": "music wire over all gauges", "units": "90",
		}},
	}
	send[ignored](w, http.MethodPut, wire, part, "If-None-Match: *")
	send[ignored](w, http.MethodPut, wire, with(part, map[string]any{"minimum": "50"}),
		`If-Match: "v1"`)
	j := jobUnderWay(w, w.owner)
	kit := "/v1/kits/" + w.id()
	for _, match := range []string{"If-None-Match: *", `If-Match: "v1"`} {
		send[ignored](w, http.MethodPut, kit, map[string]any{
			"name": "strings of the treble", "note": match, "lines": []any{map[string]any{
				"part": strings.TrimPrefix(wire, "/v1/parts/"), "quantity": "1", "unit": "coil",
			}},
		}, match)
	}
	coils := w.move(wire, map[string]any{
		"kind": "receipt", "quantity": "4", "unit": "coil", "value": amount("72.00"),
		"supplier": supplier,
	})
	w.move(wire, map[string]any{
		"kind": "adjustment", "of": coils.ID, "value": amount("8.00"), "note": "carriage",
	})
	issue := map[string]any{
		"kind": "issue", "quantity": "30", "job": j.ID, "operation": j.Tasks[0].Operation,
	}
	issued := w.move(wire, issue)
	w.move(wire, map[string]any{"kind": "return", "quantity": "5", "of": issued.ID})
	wrong := w.move(wire, issue)
	w.move(wire, map[string]any{"kind": "reversal", "of": wrong.ID, "note": "entered twice"})
	sent := w.move(wire, map[string]any{"kind": "sent_back", "quantity": "25", "of": coils.ID})
	w.move(wire, map[string]any{"kind": "reversal", "of": sent.ID, "note": "kept after all"})
	w.overCounter(strings.TrimPrefix(wire, "/v1/parts/"), map[string]any{"buyer": supplier})
	w.move(wire, map[string]any{
		"kind": "scrap", "quantity": "1", "counts_as": "normal_loss", "note": "kinked",
	})
	w.move(wire, map[string]any{"kind": "count", "quantity": "70"})
	w.move(wire, map[string]any{
		"kind": "receipt", "quantity": "1", "unit": "coil", "value": amount("25.00"), "on": "2026-02-25",
	})
}
