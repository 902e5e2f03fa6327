package sheet

import (
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// lines returns texts as they stand in a section.
func lines(texts []string) []string {
	var list []string
	for _, x := range texts {
		list = append(list, wrap(x, indent, continuation)...)
	}
	return list
}

func TestWhatIsCutFitsAndCountsWhatItLeavesOut(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringMatching(`[a-zé×]{1,30}|W{90,200}`)
		texts := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) string {
			return strings.Join(rapid.SliceOfN(word, 1, 60).Draw(t, "words"), " ")
		}), 1, 20).Draw(t, "texts")
		most := rapid.IntRange(4, 30).Draw(t, "most")
		kept := cut(texts, most, 1)
		got := lines(kept)
		for _, l := range got {
			if utf8.RuneCountInString(l) > pageColumns {
				t.Fatalf("a line of %d columns: %s", utf8.RuneCountInString(l), l)
			}
		}
		if len(got) > most {
			t.Fatalf("%d lines, want at most %d", len(got), most)
		}
		told := len(kept)
		// What is counted stands in place of one text at least.
		if strings.HasPrefix(kept[told-1], "and ") && strings.HasSuffix(kept[told-1], " more") {
			told--
			if want := fmt.Sprintf("and %d more", len(texts)-told); kept[told] != want {
				t.Fatalf("ends with %q, want %q", kept[told], want)
			}
		}
		for i, x := range kept[:told] {
			whole := strings.Join(strings.Fields(texts[i]), " ")
			begins := strings.TrimSuffix(x, " …")
			if !strings.HasPrefix(whole, begins) || begins == x && x != whole {
				t.Fatalf("%q is neither all nor the marked beginning of %q", x, whole)
			}
		}
		// A word that leaves no room for the mark on its line is cut off rather than broken where
		// room is short.
		broken := strings.Contains(strings.Join(texts, " "), strings.Repeat("W", pageColumns-6))
		if !broken && len(lines(texts)) <= most && strings.Join(kept, "\n") != strings.Join(texts, "\n") {
			t.Fatalf("all would have fitted, and %q is left", kept)
		}
	})
}
