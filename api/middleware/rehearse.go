package middleware

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"bentside/api/problem"
	"bentside/domain"
	"bentside/openapi"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/labstack/echo/v4"
)

// follows says of the members of a body which others a rule about them looks at: where one of those
// is wrong already, a fault may only follow from what stood in for it, and isn't told.
type follows map[string][]string

// rehearsed are the operations whose members are held against the rules all the same where one
// breaks the contract, so that everything wrong stands in one answer. Each was looked through for
// rules that join several members: see TestFaultsAtOnce. Those of the first lines join none in a
// way that a stand-in could break.
var rehearsed = map[string]follows{
	"putWorkshop": {}, "putPerson": {}, "putParty": {}, "putStation": {},
	"createInstrument": {}, "putInstrument": {},
	"createSurvey": {}, "addFinding": {}, "putFinding": {},
	"putPartClass": {}, "reverseHours": {}, "recordSpendingLimit": {},
	"putPart": {"purchase_unit": {"unit"}, "content": {"purchase_unit"}},
	"addAbsence": {
		"person": {"station"}, "places": {"person", "station"}, "last": {"first"},
		"station": {"person"},
	},
	"addProgress": {
		"hours": {"worked_on", "person"}, "person": {"hours"}, "done": {"hours"}, "left": {"finished"},
		"note": {"finished", "hours"}, "reason": {"finished", "hours"},
		"correction": {"worked_on", "person", "hours"},
	},
	"answerQuotation": {"option": {"accepted"}},
	"closeJob":        {"why": {"outcome"}},
	"createJob":       {"consent": {"scope", "accepted_on"}},
	"createProposal": {
		"edits": {"edits", "findings", "recorded", "depth"}, "price": {"edits", "findings", "depth"},
	},
	"createQuotation": {
		"deposit": {"options"}, "valid_until": {"quoted_on"}, "replaces": {"options"},
	},
	"decideProposal": {"again": {"accept"}, "consent": {"accept"}},
	"enterHours": {
		"from": {"to", "worked_on", "person"}, "to": {"from", "hours", "minutes"},
		"minutes": {"hours", "from", "to", "worked_on", "person"},
		"hours":   {"minutes", "from", "to", "worked_on", "person"},
		"duty":    {"job", "operation"}, "operation": {"job", "duty"}, "job": {"operation"},
		"note": {"duty", "rework"}, "rework": {"duty"}, "reason": {"job", "operation"},
		"correction": {"worked_on", "person"},
	},
	"recordClearance": {
		"reference": {"stop", "withdraws"}, "dated": {"stop", "withdraws"}, "withdraws": {"stop"},
	},
	"recordPromise":        {"due": {"promised_on"}},
	"recordPromiseOutcome": {"why": {"withdrawn"}},
	"suspendWork":          {"keeps_station": {"operation"}},
}

// fromAnother reports whether a fault may only follow from a member that is wrong already.
func (fs follows) fromAnother(f openapi.FieldProblem, wrong []openapi.FieldProblem) bool {
	for member, others := range fs {
		if !within(f.Pointer, "#/"+member) {
			continue
		}
		for _, x := range wrong {
			if slices.ContainsFunc(
				others, func(other string) bool { return within(x.Pointer, "#/"+other) },
			) {
				return true
			}
		}
	}
	return false
}

// maxStandIns bounds how often one request is rehearsed.
const maxStandIns = 8

// rehearseOthers returns the rules that a request with wrong members breaks besides. It runs the
// handler in a transaction that is rolled back, with other values in place of the wrong ones, and
// keeps what it is refused for each time. A rule about a wrong member, about what is in it or about
// what it is in isn't told: it may only follow from the value that stood in.
func (ch *Chain) rehearseOthers(
	c echo.Context, op *operation, wrong collector, next echo.HandlerFunc,
) problem.Fields {
	_, isJSON := bodyOf(c.Request().Context()).(map[string]any)
	rules, listed := rehearsed[op.id]
	if !listed || !isJSON || len(wrong.Fields) > domain.MaxListedFaults {
		return nil
	}
	times := 1
	for _, values := range wrong.standIns {
		times = max(times, len(values))
	}
	if times > maxStandIns {
		return nil
	}
	var common problem.Fields
	for n := range times {
		body, err := wrong.bodyWithStandIns(c.Request().Context(), n)
		if err != nil {
			return nil
		}
		found := ch.refusals(c, body, next)
		if n == 0 {
			common = found
		}
		common = slices.DeleteFunc(common, func(f openapi.FieldProblem) bool {
			return !slices.Contains(found, f)
		})
		if len(common) == 0 {
			return nil // nothing can be added by what else may have stood there
		}
	}
	return slices.DeleteFunc(common, func(f openapi.FieldProblem) bool {
		joined := func(x openapi.FieldProblem) bool {
			return within(f.Pointer, x.Pointer) || within(x.Pointer, f.Pointer)
		}
		return rules.fromAnother(f, wrong.Fields) || slices.ContainsFunc(wrong.Fields, joined)
	})
}

// within reports whether a pointer is another one or below it.
func within(pointer, other string) bool { return strings.HasPrefix(pointer+"/", other+"/") }

// refusals returns the fields that a handler refuses a body for, and undoes whatever it does. The
// handler's answer is thrown away, and any other refusal or error with it; a panic too, since a
// handler may rely on the contract, which a body with members left out needn't keep.
func (ch *Chain) refusals(c echo.Context, body []byte, next echo.HandlerFunc) problem.Fields {
	response, request := c.Response(), c.Request()
	defer func() { c.SetResponse(response); c.SetRequest(request) }()
	run := func(ctx context.Context) (err error) {
		defer func() {
			if what := recover(); what != nil {
				err = fmt.Errorf("rehearse: %v", what)
			}
		}()
		r := request.Clone(ctx)
		r.Header.Del(idempotencyHeader) // what isn't done uses up no key
		r.Body, r.ContentLength = io.NopCloser(bytes.NewReader(body)), int64(len(body))
		c.SetResponse(echo.NewResponse(&recorder{header: http.Header{}}, c.Echo()))
		c.SetRequest(r)
		return next(c)
	}
	err := ch.rehearse(request.Context(), run)
	var refused *domain.Fault
	var p *problem.Problem
	if errors.As(err, &refused) || errors.As(err, &p) {
		return problem.Of(err).Fields()
	}
	return nil
}

// addStandIns notes what can stand in for a wrong member. What a choice may be, it is in turn; a
// number, a day and a free text are as in the contract's example, or some text; a number that is
// written as text is 1. Anything else is left out, ids and codes above all, which would say
// something else altogether.
func (f *collector) addStandIns(at string, s *openapi3.Schema) {
	for s != nil && len(s.AllOf) == 1 && len(s.Enum) == 0 && s.Type == nil {
		s = s.AllOf[0].Value
	}
	var values []any
	switch {
	case s == nil:
		return
	case len(s.Enum) > 0:
		values = s.Enum
	case s.Type.Is("boolean"):
		values = []any{true, false}
	case isNumeral(s):
		values = []any{"1"}
	case s.Pattern != "" || s.Format != "" && s.Format != "date":
		return
	case s.Example != nil:
		values = []any{s.Example}
	case s.Type.Is("string"):
		values = []any{"?"}
	default:
		return
	}
	if f.standIns == nil {
		f.standIns = map[string][]any{}
	}
	f.standIns[at] = values
}

// isNumeral reports whether a text is a number by its pattern.
func isNumeral(s *openapi3.Schema) bool {
	if s.Pattern == "" {
		return false
	}
	pattern, err := regexp.Compile(s.Pattern)
	return err == nil && pattern.MatchString("1") && !pattern.MatchString("A")
}

// bodyWithStandIns returns the body of a request with the nth stand-in of each wrong member, or
// without the member where it has none. Elements of arrays keep their places.
func (f *collector) bodyWithStandIns(ctx context.Context, n int) ([]byte, error) {
	body, err := copyJSON(bodyOf(ctx))
	if err != nil {
		return nil, err
	}
	for _, x := range f.Fields {
		path := strings.Split(strings.TrimPrefix(x.Pointer, "#/"), "/")
		if x.Pointer == "#" {
			return nil, errors.New("the body as a whole is wrong")
		}
		values := f.standIns[x.Pointer]
		if len(values) == 0 {
			replaceAt(body, path, nil, true)
			continue
		}
		replaceAt(body, path, values[n%len(values)], false)
	}
	return json.Marshal(body)
}

// replaceAt puts a value at a path, or takes out what is there. A path to nowhere does nothing.
func replaceAt(in any, path []string, value any, out bool) {
	name := strings.NewReplacer("~1", "/", "~0", "~").Replace(path[0])
	switch v := in.(type) {
	case map[string]any:
		switch {
		case len(path) > 1:
			replaceAt(v[name], path[1:], value, out)
		case out:
			delete(v, name)
		default:
			v[name] = value
		}
	case []any:
		i, err := strconv.Atoi(name)
		switch {
		case err != nil || i < 0 || i >= len(v):
		case len(path) > 1:
			replaceAt(v[i], path[1:], value, out)
		default:
			v[i] = value
		}
	}
}
