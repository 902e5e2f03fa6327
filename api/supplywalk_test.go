package api_test

import (
	"net/http"

	"bentside/openapi"
)

// supplier adds a party that sells parts, and returns its id.
func (w *walker) supplier() string {
	w.Helper()
	id := w.id()
	send[ignored](w, http.MethodPut, "/v1/parties/"+id, map[string]any{"name": "Felt & Wire"},
		"If-None-Match: *")
	return id
}

// wire adds a class and a part of it, bought by the coil of 25 m, and returns the part's id.
func (w *walker) wire(code string) string {
	w.Helper()
	class, part := w.id(), w.id()
	send[ignored](w, http.MethodPut, "/v1/part-classes/"+class,
		map[string]any{"name": "wire " + code, "method": "fifo"}, "If-None-Match: *")
	send[ignored](w, http.MethodPut, "/v1/parts/"+part, map[string]any{
		"code": code, "name": "music wire", "class": class, "unit": "m", "purchase_unit": "coil",
		"content": "25", "minimum": "50",
	}, "If-None-Match: *")
	return part
}

// supply orders wire and a bass set for a job, receives some, sends some back and cancels the rest.
func (w *walker) supply() {
	supplier, wire, bass := w.supplier(), w.wire("W-17"), w.wire("B-1")
	j := jobUnderWay(w, w.owner)
	settings := map[string]any{
		"supplier": supplier, "currency": "EUR", "expected_on": "2026-03-20", "reference": "A 117",
		"lines": []any{
			map[string]any{"part": wire, "quantity": "10", "unit": "coil", "price_each": "18.00"},
			map[string]any{
				"part": bass, "quantity": "1", "unit": "coil", "price": amount("640.00"), "job": j.ID,
				"operation": j.Tasks[0].Operation,
			},
		},
	}
	o := send[openapi.Order](w, http.MethodPost, "/v1/orders", settings)
	at := "/v1/orders/" + o.ID.String()
	w.get("/v1/orders")
	shown := w.get(at)
	settings["expected_on"] = "2026-03-23"
	for i := range o.Lines {
		line, _ := settings["lines"].([]any)[i].(map[string]any)
		line["number"] = o.Lines[i].Number
	}
	send[ignored](w, http.MethodPut, at, settings, "If-Match: "+shown.header.Get("ETag"))
	send[openapi.Order](w, http.MethodPost, at+"/expected-days", map[string]any{
		"expected_on": "2026-05-18", "reason": "the covering machine stands still",
	})
	w.get(at + "/expected-days")
	d := send[openapi.Delivery](w, http.MethodPost, at+"/deliveries", map[string]any{
		"reference": "L 4411", "lines": []any{
			map[string]any{"line": 1, "quantity": "6", "unit": "coil"},
			map[string]any{"line": 2, "quantity": "1", "unit": "coil"},
		},
	})
	send[ignored](w, http.MethodPost, at+"/returns", map[string]any{
		"receipt": d.Lines[0].Receipt, "quantity": "1", "unit": "coil", "replacement": true,
		"reason": "rusty",
	})
	w.get(at + "/deliveries")
	send[ignored](w, http.MethodPost, at+"/cancellation", map[string]any{
		"line": 1, "reason": "found cheaper",
	})
	w.bill(supplier, d, j.Instrument)
	w.get("/v1/parts/" + wire + "/lead-times")
	w.get("/v1/shortages")
}

// bill bills a delivery with its freight, which a piano of ours came with, credits some of it and
// pays.
func (w *walker) bill(supplier string, d openapi.Delivery, piano openapi.ID) {
	w.get("/v1/unbilled-deliveries")
	first, second := d.Lines[0].Receipt, d.Lines[1].Receipt
	body := map[string]any{
		"supplier": supplier, "reference": "R 2204", "on": "2026-03-02", "currency": "EUR",
		"due_on": "2026-04-01",
		"lines": []any{
			map[string]any{
				"receipt": first, "quantity": "6", "unit": "coil", "amount": amount("111.00"),
				"tax_rate": "0.23",
			},
			map[string]any{
				"receipt": second, "quantity": "1", "unit": "coil", "amount": amount("640.00"),
				"tax_rate": "0.23",
			},
		},
		"shared": []any{map[string]any{
			"kind": "freight", "by": "weight", "amount": amount("24.00"), "tax_rate": "0.23",
			"over": []any{
				map[string]any{"receipt": first, "weight": "6"},
				map[string]any{"receipt": second, "weight": "14"},
				map[string]any{"instrument": piano, "weight": "310"},
			},
		}},
		"tax": amount("178.25"), "total": amount("953.25"),
	}
	b := send[openapi.SupplierBill](w, http.MethodPost, "/v1/supplier-bills", body)
	credit := map[string]any{
		"supplier": supplier, "credits": b.ID, "reference": "G 31", "on": "2026-03-02",
		"currency": "EUR", "due_on": "2026-04-01",
		"lines": []any{map[string]any{
			"kind": "returned", "receipt": first, "quantity": "1", "unit": "coil",
			"amount": amount("18.50"),
		}},
		"tax": amount("0.00"), "total": amount("18.50"),
	}
	send[ignored](w, http.MethodPost, "/v1/supplier-bills", credit)
	at := "/v1/supplier-bills/" + b.ID.String()
	send[ignored](w, http.MethodPost, at+"/payments", map[string]any{
		"amount": amount("900.00"), "discount": amount("18.00"),
	})
	w.get(at)
	w.get("/v1/supplier-bills")
}
