package catalogue_test

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"bentside/domain/catalogue"
)

// Whatever names a source by its number, in the data, in what is shown or in a check, leads to a
// title; and no source is listed that nothing names.
func TestEveryNumberOfASourceLeadsToATitleAndEverySourceIsNamed(t *testing.T) {
	t.Parallel()
	list, err := catalogue.Sources()
	if err != nil {
		t.Fatal(err)
	}
	named := sourcesNamed(t)
	for number, file := range named {
		if !slices.ContainsFunc(list, func(s catalogue.Source) bool { return s.Number == number }) {
			t.Errorf("%s names %s, which is not among the sources", file, number)
		}
	}
	for _, s := range list {
		if named[s.Number] == "" {
			t.Errorf("nothing names %s, %s", s.Number, s.Title)
		}
	}
	if len(named) < 90 {
		t.Errorf("only %d sources are named: is the module searched?", len(named))
	}
}

// sourcesNamed returns the numbers of sources that Go files, tables and recorded exchanges name,
// each with a file that does.
func sourcesNamed(t *testing.T) map[string]string {
	t.Helper()
	number := regexp.MustCompile(`\bS\d{2,3}\b`)
	named := map[string]string{}
	visit := func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasSuffix(path, "sources.csv") ||
			strings.HasSuffix(path, "source_test.go") {
			return err
		}
		if !slices.Contains([]string{".go", ".csv", ".json"}, filepath.Ext(path)) {
			return nil
		}
		body, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		for _, s := range number.FindAllString(string(body), -1) {
			named[s] = path
		}
		return nil
	}
	for _, part := range []string{"domain", "pricing", "api", "openapi"} {
		if err := filepath.WalkDir(filepath.Join("..", "..", part), visit); err != nil {
			t.Fatal(err)
		}
	}
	return named
}

func TestARowThatNamesASourceWhichIsNotListedIsNamed(t *testing.T) {
	t.Parallel()
	list, err := catalogue.Sources()
	if err != nil {
		t.Fatal(err)
	}
	c := *shipped(t)
	if err := catalogue.CheckCited(&c, list); err != nil {
		t.Errorf("the shipped catalogue: %v", err)
	}
	c.Rules = slices.Clone(c.Rules)
	c.Rules[3].Standing = "source S49 S999"
	var flaws catalogue.Flaws
	if err := catalogue.CheckCited(&c, list); !errors.As(err, &flaws) || len(flaws) != 1 ||
		flaws[0].Row.Row != c.Rules[3].ID || !strings.Contains(err.Error(), "S999") {
		t.Errorf("got %v, want rule %s and S999 named", err, c.Rules[3].ID)
	}
}

func TestABrokenSourceIsNamedByFileAndLine(t *testing.T) {
	t.Parallel()
	const head = "number,title,kind,where\nS13,Equal temperament,reference,ISO 16\n"
	for _, c := range []struct{ name, row, want string }{
		{"no number", "Q13,Torque,trade,a list", `number: "Q13" must be the number of a source`},
		{"a number twice", "S13,Torque,trade,a list", "number: S13 appears twice"},
		{"no title", "S14,,trade,a list", "must have a title and say how to find it"},
		{"no way to find it", "S14,Torque,trade,", "must have a title and say how to find it"},
		{"a kind of its own", "S14,Torque,hearsay,a list", `kind: "hearsay" must be one of`},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			_, err := catalogue.ReadSources(func(string) ([]byte,
				error,
			) {
				return []byte(head + c.row + "\n"), nil
			})
			if err == nil || !strings.HasPrefix(err.Error(), "sources.csv:3: "+c.want) {
				t.Errorf("got %v, want sources.csv:3 and %q", err, c.want)
			}
		})
	}
}
