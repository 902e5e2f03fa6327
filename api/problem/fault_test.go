package problem_test

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"testing"

	"bentside/api/problem"
	"bentside/domain"

	"github.com/labstack/echo/v4"
)

func TestEveryKindOfRefusalHasItsProblem(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		err    error
		status int
		name   string
	}{
		{domain.Refuse(domain.Invalid, "x"), 422, "validation"},
		{domain.Refuse(domain.Unauthenticated, "x"), 401, "unauthenticated"},
		{domain.Refuse(domain.Forbidden, "x"), 403, "forbidden"},
		{domain.Refuse(domain.NotFound, "x"), 404, "not-found"},
		{domain.Refuse(domain.Conflict, "x"), 409, "conflict"},
		{domain.Refuse(domain.Stale, "x"), 412, "stale-version"},
		{domain.Refuse(domain.NoPrecondition, "x"), 428, "precondition-required"},
		{domain.Refuse(domain.KeyReused, "x"), 422, "idempotency-key-reused"},
		{domain.Refuse(domain.KeyBusy, "x"), 409, "idempotency-key-busy"},
		{domain.Refuse(domain.Unavailable, "x"), 503, "unavailable"},
		{domain.Refuse(domain.OutcomeUnknown, "x"), 503, "outcome-unknown"},
		{fmt.Errorf("change the job: %w", domain.Refuse(domain.Stale, "x")), 412, "stale-version"},
		{domain.Refuse("no such kind", "secret"), 500, "internal"},
		{echo.ErrNotFound, 404, "not-found"},
		{echo.ErrMethodNotAllowed, 405, "method-not-allowed"},
		{echo.NewHTTPError(http.StatusBadRequest, "names *uuid.UUID"), 400, "malformed"},
		{context.DeadlineExceeded, 503, "unavailable"},
		{errors.New("secret"), 500, "internal"},
	} {
		p := problem.Of(c.err)
		if p.Status != c.status || p.Name != c.name {
			t.Errorf("%v: got %d %s, want %d %s", c.err, p.Status, p.Name, c.status, c.name)
		}
		if detail := p.Detail(); strings.Contains(detail, "secret") ||
			strings.Contains(detail, "uuid.UUID") {
			t.Errorf("%v: shown as %q", c.err, detail)
		}
	}
	p := problem.Of(domain.Refuse(domain.Unauthenticated, "x"))
	if p.Header()["WWW-Authenticate"] == "" {
		t.Error("401 does not say how to authenticate")
	}
	for _, kind := range []domain.FaultKind{domain.Unavailable, domain.OutcomeUnknown} {
		if p := problem.Of(domain.Refuse(kind, "x")); p.Header()["Retry-After"] == "" {
			t.Errorf("%s does not say when to try again", kind)
		}
	}
}
