package catalogue

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"sync"
	"unicode"
)

// Source is where a figure was read: what a standing, a note or a caution names by its number.
type Source struct {
	Number string // S49
	Title  string
	Kind   string // one of SourceKinds
	Where  string // how to find it
}

// SourceKinds say who speaks: a standard, a statute or an authority; a reference work; somebody of
// the trade about the trade; a commercial or anonymous page.
var SourceKinds = []string{"official", "reference", "trade", "page"}

// Sources returns the sources by number. They ship beside the catalogue and are no part of its
// document, so a source that is added changes no revision. The error comes from a broken build
// only.
func Sources() ([]Source, error) { return sources() }

var sources = sync.OnceValues(func() ([]Source, error) {
	return readSources(func(name string) ([]byte, error) { return fs.ReadFile(data, "data/"+name) })
})

var sourcesColumns = []string{"number", "title", "kind", "where"}

func readSources(read func(name string) ([]byte, error)) ([]Source, error) {
	s := &sheets{read, &checking{Catalogue: &Catalogue{}}}
	var list []Source
	seen := map[string]bool{}
	for _, r := range s.rows("sources", sourcesColumns...) {
		x := Source{r.text("number"), r.text("title"), r.text("kind"), r.text("where")}
		switch {
		case !isSourceNumber(x.Number):
			r.wrong("number", "%q must be the number of a source, such as S49", x.Number)
		case seen[x.Number]:
			r.wrong("number", "%s appears twice", x.Number)
		}
		if x.Title == "" || x.Where == "" {
			r.wrong("", "must have a title and say how to find it")
		}
		if !slices.Contains(SourceKinds, x.Kind) {
			r.wrong("kind", "%q must be one of %q", x.Kind, SourceKinds)
		}
		seen[x.Number] = true
		list = append(list, x)
	}
	if len(s.flaws) > 0 {
		return nil, s.flaws
	}
	return list, nil
}

// checkCited returns Flaws with every row of the catalogue that names a source which is not in
// the list.
func (c *Catalogue) checkCited(list []Source) error {
	var flaws Flaws
	keys, rows := c.Rows()
	for i, r := range rows {
		for _, number := range sourcesIn(string(r.Text())) {
			if !slices.ContainsFunc(list, func(s Source) bool { return s.Number == number }) {
				flaws = append(flaws, &Flaw{
					Where: keys[i].String(), Row: keys[i],
					Err: fmt.Errorf("%w: %s", errNoSource, number),
				})
			}
		}
	}
	if len(flaws) == 0 {
		return nil
	}
	return flaws
}

// sourcesIn returns the numbers of sources that a text names.
func sourcesIn(text string) []string {
	words := strings.FieldsFunc(text,
		func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	return slices.DeleteFunc(words, func(w string) bool { return !isSourceNumber(w) })
}

// isSourceNumber reports whether a word is an S with two or three digits.
func isSourceNumber(word string) bool {
	digits, ok := strings.CutPrefix(word, "S")
	return ok && (len(digits) == 2 || len(digits) == 3) && strings.Trim(digits, "0123456789") == ""
}

// errNoSource: a row names a source that no row of sources.csv describes.
var errNoSource = errors.New("names a source that is not among the sources")
