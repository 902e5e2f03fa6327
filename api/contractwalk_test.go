package api_test

import (
	"net/http"

	"bentside/domain"
	"bentside/openapi"
)

// contracts has a client leave a deposit, invoices a stage, takes it back and settles the job,
// which is given up.
func (w *walker) contracts() {
	w.registered()
	o := offerOf(w, w.owner)
	q := send[openapi.Quotation](w, http.MethodPost, o.at()+"/quotations", map[string]any{
		"party": o.party.ID, "valid_until": "2026-04-30", "deposit": amount("500.00"),
		"options": []any{map[string]any{
			"scope": o.light.ID, "title": "Reconditioned", "net": amount("4200.00"), "tax_rate": "0.23",
		}},
	})
	job := send[openapi.Quotation](w, http.MethodPost, "/v1/quotations/"+q.ID.String()+"/answer",
		map[string]any{"accepted": true, "option": 1, "on": "2026-03-02"}).Job
	at := "/v1/jobs/" + job.String()
	d := send[openapi.Deposit](w, http.MethodPost, at+"/deposits", map[string]any{
		"buyer": o.party.ID, "amount": amount("500.00"), "note": "by transfer",
	})
	released := "/v1/deposits/" + d.ID.String() + "/releases"
	i := send[openapi.ClientInvoice](w, http.MethodPost, at+"/invoices", map[string]any{
		"stage": "the action is back in the piano", "net": amount("1500.00"),
		"deposit": amount("500.00"), "note": "as agreed",
	})
	w.get("/v1/client-invoices/" + i.ID.String())
	w.get(at + "/contract")
	w.get("/v1/contracts")
	send[ignored](w, http.MethodPost, "/v1/client-invoices/"+i.ID.String()+"/credit-note",
		map[string]any{"why": "the stage was not finished"})
	w.get(at + "/invoices")
	w.get(at + "/deposits")
	send[ignored](w, http.MethodPost, at+"/closing", map[string]any{
		"outcome": "abandoned", "closed_on": "2026-03-02", "why": "the client thought better of it",
	})
	send[ignored](w, http.MethodPost, released, map[string]any{
		"how": "forfeited", "amount": amount("100.00"), "taxed": true, "why": "for the strings",
	})
	send[ignored](w, http.MethodPost, released, map[string]any{
		"how": "refunded", "why": "the rest of it",
	})
	send[ignored](w, http.MethodPost, at+"/settlement", map[string]any{
		"why": "the client pays for the strings and nothing more",
	})
}

// contractLists are the lists of what clients left, what they were invoiced, and their contracts.
func contractLists(c *client, s *shop) []pagedList {
	o := offerOf(s.tb, c)
	yes := want[openapi.Quotation](s.tb, o.yes(o.quoted(o.light), 1), http.StatusCreated)
	job := "/v1/jobs/" + yes.Job.String()
	post := func(path string, body map[string]any) func() {
		return func() { want[any](s.tb, c.do(http.MethodPost, path, body), http.StatusCreated) }
	}
	return []pagedList{
		{"listJobDeposits", job + "/deposits", post(job+"/deposits", map[string]any{
			"buyer": o.party.ID, "amount": amount("1.00"),
		})},
		{"listClientInvoices", job + "/invoices", post(job+"/invoices", map[string]any{
			"stage": "one more", "net": amount("1.00"), "tax_rate": "0",
		})},
		{"listClientContracts", "/v1/contracts", func() {
			party, scope := clientsGrand(s.tb, c)
			clientsJob(s.tb, c, party, scope)
		}},
		{
			"listClientContracts", "/v1/contracts?as_of=" + domain.DateOf(o.light.CreatedAt).String(),
			func() {
				party, scope := clientsGrand(s.tb, c)
				clientsJob(s.tb, c, party, scope)
			},
		},
	}
}
