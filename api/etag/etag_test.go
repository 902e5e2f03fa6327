package etag_test

import (
	"strings"
	"testing"

	"bentside/api/etag"
)

func TestTagsAreReadAsRFC9110HasThem(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		header, tag string
		want        bool
	}{
		{`"v1"`, `"v1"`, true},
		{`W/"v1"`, `"v1"`, true},
		{`"a", "b","v1"`, `"v1"`, true},
		{`*`, `"v1"`, true},
		{`"v2"`, `"v1"`, false},
		{`"v1`, `"v1"`, false},
		{`v1`, `"v1"`, false},
		{``, `"v1"`, false},
		{`"a" "v1"`, `"v1"`, true},
	} {
		if got := etag.Matches(c.header, c.tag); got != c.want {
			t.Errorf("%s against %s: %v, want %v", c.header, c.tag, got, c.want)
		}
	}
	derived, err := etag.Derived(17, "whatever is shown")
	if err != nil {
		t.Fatal(err)
	}
	for header, version := range map[string]int64{`"v1"`: 1, ` "v17" `: 17, derived: 17} {
		if got, err := etag.ParseIfMatch(header); err != nil || got != version {
			t.Errorf("%s: got %d, %v, want %d", header, got, err, version)
		}
	}
}

func FuzzParseIfMatch(f *testing.F) {
	for _, seed := range []string{
		`"v1"`, `W/"v1"`, `"v1", "v2"`, `*`, `"v-1"`, `"v01"`, `"v1-plain"`, `"v1.ab"`, `"`, "",
		`"v99999999999999999999"`,
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, header string) {
		if etag.Matches(header, `"v1"`) != etag.Matches(" "+header+" ", `"v1"`) {
			t.Errorf("%q matches differently with spaces around it", header)
		}
		version, err := etag.ParseIfMatch(header)
		if err != nil {
			return
		}
		plain, _, _ := strings.Cut(strings.TrimSpace(header), ".")
		if strings.TrimSuffix(plain, `"`)+`"` != etag.Version(version) {
			t.Errorf("%q is read as version %d", header, version)
		}
	})
}
