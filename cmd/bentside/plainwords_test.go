package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bentside/api/postgres/pgtest"
)

func TestBadSurroundingsAreNamedInPlainWords(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for what, c := range map[string]struct {
		args []string
		vars map[string]string
		says []string
	}{
		"a short cursor key": {
			[]string{"serve", "--cursor-key", "piano"},
			nil,
			[]string{"--cursor-key has 5 characters", "at least 32"},
		},
		"a pause that is no duration": {
			[]string{"serve", "--stop-pause", "5"}, nil, []string{"--stop-pause", "such as 5s"},
		},
		"an unknown workshop": {
			[]string{
				"token", "issue", "--workshop", "0192a1b2-0000-7000-8000-000000000001",
				"--name", "Ada", "--role", "viewer",
			},
			map[string]string{"DATABASE_URL": db.Service},
			[]string{"no workshop in this database has the id 0192a1b2-0000-7000-8000-000000000001"},
		},
		"a data folder that can't be made": {
			[]string{"serve", "--data-dir", filepath.Join(file, "db")},
			nil,
			[]string{"DATABASE_URL is not set"},
		},
	} {
		_, ended := start(t.Context(), t, c.vars, c.args...)
		err := <-ended
		if err == nil {
			t.Errorf("%s: no error", what)
			continue
		}
		for _, said := range c.says {
			if !strings.Contains(err.Error(), said) {
				t.Errorf("%s: the error %q does not say %q", what, err, said)
			}
		}
	}
}

func TestAnAccountWithoutAHomeIsToldOfTheDatabaseURL(t *testing.T) {
	t.Parallel()
	_, err := config{}.dataFolder(environment{uid: 65532, getenv: func(string) string { return "" }})
	if err == nil || !strings.Contains(err.Error(), "DATABASE_URL") {
		t.Errorf("got %v, want DATABASE_URL named", err)
	}
}

func TestTheProgramSaysWhichItIs(t *testing.T) {
	t.Parallel()
	out, ended := start(t.Context(), t, nil, "--version")
	if err := <-ended; err != nil {
		t.Fatal(err)
	}
	if said := out.String(); !strings.HasPrefix(said, "bentside version ") ||
		!strings.Contains(said, "revision ") || !strings.Contains(said, "go1.") {
		t.Errorf("--version says %q", said)
	}
}
