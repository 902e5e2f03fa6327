package middleware_test

import (
	"strings"
	"testing"

	"bentside/api/middleware"
)

func TestKeysAreReadQuotedAndBare(t *testing.T) {
	t.Parallel()
	for header, want := range map[string]string{
		`abc`: "abc", `"abc"`: "abc", ` "a b" `: "a b", `"a\"b\\c"`: `a"b\c`,
	} {
		if got, err := middleware.ParseKey(header); err != nil || got != want {
			t.Errorf("%q: got %q, %v, want %q", header, got, err, want)
		}
	}
	for _, header := range []string{
		`"`, `""`, `"abc`, `"abc"d`, `"a\x"`, `"a\`, "a\tb", "ä", strings.Repeat("a", 201),
	} {
		if got, err := middleware.ParseKey(header); err == nil {
			t.Errorf("%q: got %q, want it refused", header, got)
		}
	}
}

func FuzzParseKey(f *testing.F) {
	for _, seed := range []string{"abc", `"abc"`, `"a\"b"`, `"`, "\x00", `"\`} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, header string) {
		key, err := middleware.ParseKey(header)
		if err != nil {
			return
		}
		if key == "" || len(key) > 200 {
			t.Errorf("%q: accepted as %q", header, key)
		}
		quoted := `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(key) + `"`
		if again, err := middleware.ParseKey(quoted); err != nil || again != key {
			t.Errorf("%q: quoted as %s it reads %q, %v", key, quoted, again, err)
		}
	})
}
