package middleware

import (
	"errors"
	"testing"

	"bentside/api/problem"
)

func TestAMemberThatIsTwiceInABodyIsNamed(t *testing.T) {
	t.Parallel()
	for body, pointer := range map[string]string{
		`{"a":1,"b":{"a":2},"c":[{"a":3},{"a":4}]}`: "",
		`{"a":"a","b":["a","a"],"c":{}}`:            "",
		`7`:                                         "",
		`{"a":1,"a":1}`:                             "#/a",
		`{"a":[{"b":1},{"b":{"c/d":1,"c/d":null}}]}`: "#/a/1/b/c~1d",
		`[{"a":{"x":1},"a":2}]`:                      "#/0/a",
		`{"\u0061":1,"a":2}`:                         "#/a",
	} {
		err := checkMembersOnce([]byte(body))
		var p *problem.Problem
		switch {
		case pointer == "" && err != nil:
			t.Errorf("%s is refused with %v", body, err)
		case pointer != "" && (!errors.As(err, &p) || len(p.Fields()) != 1 ||
			p.Fields()[0].Pointer != pointer):
			t.Errorf("%s is refused with %v, want %s named", body, err, pointer)
		}
	}
}
