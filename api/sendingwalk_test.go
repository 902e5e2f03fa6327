package api_test

import (
	"net/http"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

// outsideJob accepts work on a grand of ours of which firms re-cover the naturals and plate the
// hardware, and returns the job with the id of a firm.
func outsideJob(tb testing.TB, c *client) (openapi.Job, string) {
	tb.Helper()
	i, s := surveyedOurs(tb, c)
	made := want[openapi.Scope](tb, c.do(http.MethodPost, "/v1/instruments/"+i.ID.String()+"/scopes",
		map[string]any{"survey": s.ID, "depth": "recondition"}), http.StatusCreated)
	edits := "/v1/scopes/" + made.ID.String() + "/edits"
	want[openapi.Scope](tb, c.do(http.MethodPut, edits, map[string]any{"edits": []any{
		map[string]any{"kind": "add", "operation": "CS-11", "why": "the plating is worn"},
		map[string]any{"kind": "add", "operation": "KY-03", "why": "chipped"},
		map[string]any{"kind": "making", "operation": "KY-03", "making": "outside"},
	}}, "If-Match: "+c.do(http.MethodGet, "/v1/scopes/"+made.ID.String(), nil).header.Get("ETag")),
		http.StatusOK)
	firm := newID(tb).String()
	want[openapi.Party](tb, c.do(http.MethodPut, "/v1/parties/"+firm,
		map[string]any{"name": "Fernhill Keys"}, "If-None-Match: *"), http.StatusCreated)
	return want[openapi.Job](tb, c.do(http.MethodPost, "/v1/jobs",
		map[string]any{"scope": made.ID, "accepted_on": "2026-02-26"}), http.StatusCreated), firm
}

// sendKeyboard sends the keyboard of a job to a firm, on its day of making.
func sendKeyboard(tb testing.TB, c *client, j openapi.Job, firm string) openapi.Sending {
	tb.Helper()
	return want[openapi.Sending](tb, c.do(http.MethodPost, "/v1/jobs/"+j.ID.String()+"/sendings",
		map[string]any{
			"operations": []any{"KY-03"}, "firm": firm, "what": "keyboard",
			"due_on": domain.DateOf(j.CreatedAt).AddDays(30).String(),
		}), http.StatusCreated)
}

// sendings sends a keyboard out, hears of another day, and gets it back.
func (w *walker) sendings() {
	j, firm := outsideJob(w, w.owner)
	at := "/v1/jobs/" + j.ID.String() + "/sendings"
	s := send[openapi.Sending](w, http.MethodPost, at, map[string]any{
		"operations": []any{"KY-03"}, "firm": firm, "what": "keyboard", "due_on": "2026-03-23",
		"sent_on": "2026-03-02", "country": "IE", "note": "in its crate, without the key slip",
	})
	w.get(at)
	w.get("/v1/sendings")
	one := "/v1/sendings/" + s.ID.String()
	send[openapi.Sending](w, http.MethodPost, one+"/due-days", map[string]any{
		"due_on": "2026-04-07", "reason": "the firm waits for covers",
	})
	w.get(one + "/due-days")
	send[openapi.Sending](w, http.MethodPost, one+"/end", map[string]any{
		"outcome": "undone", "on": "2026-03-02", "note": "the covers are too short",
	})
	w.get(one)
	send[openapi.Sending](w, http.MethodPost, at, map[string]any{
		"operations": []any{"CS-11"}, "firm": firm, "what": "hardware", "due_on": "2026-03-23",
	})
}
