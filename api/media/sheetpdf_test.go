package media

import (
	"bytes"
	"compress/zlib"
	"io"
	"regexp"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf16"

	"bentside/domain/sheet"
)

// printed returns what stands on the pages of a PDF, in order, and how many pages it has. It reads
// the text operators of ISO 32000-1, 9.4.3, as far as the library writes them: strings of UTF-16.
func printed(t *testing.T, pdf []byte) (text string, pages int) {
	t.Helper()
	var b strings.Builder
	for _, m := range regexp.MustCompile(`(?s)stream\r?\n(.*?)\r?\nendstream`).FindAllSubmatch(pdf, -1) {
		z, err := zlib.NewReader(bytes.NewReader(m[1]))
		if err != nil {
			continue // not a compressed stream
		}
		content, err := io.ReadAll(z)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range regexp.MustCompile(`(?s)\(((?:\\.|[^\\()])*)\) ?Tj`).FindAllSubmatch(content, -1) {
			b.WriteString(utf16Text(unescape(s[1])))
			b.WriteByte('\n')
		}
	}
	return b.String(), len(regexp.MustCompile(`/Type /Page\b[^s]`).FindAll(pdf, -1))
}

func unescape(s []byte) []byte {
	var out []byte
	for i := 0; i < len(s); i++ {
		if s[i] == '\\' && i+1 < len(s) {
			i++
			if s[i] == 'r' {
				out = append(out, '\r')
				continue
			}
		}
		out = append(out, s[i])
	}
	return out
}

func utf16Text(b []byte) string {
	units := make([]uint16, len(b)/2)
	for i := range units {
		units[i] = uint16(b[2*i])<<8 | uint16(b[2*i+1])
	}
	return string(utf16.Decode(units))
}

// letters leaves out what text and print set differently: spaces and capitals.
func letters(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return -1
		}
		return unicode.ToLower(r)
	}, s)
}

var exampleSheet = sheet.Sheet{
	Title: "Dvořák & Søn “Salon”", Head: []string{"grand of 1.85 m – shellac · ivory"},
	At: time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC), Foot: []string{"(cut \\ to one page)"},
	Sections: []sheet.Section{
		{Title: "Deal-breakers", Lines: []string{"the frame’s crack: 0.5 × 12 mm …"}},
		{Title: "Depths", Table: [][]string{
			{"", "as found", "restore"}, {"work costs", "795.84", "16459.76"}, {"  range", "633–974", "−1"},
		}},
	},
}

func TestTheSheetInPrintSaysWhatItsTextSays(t *testing.T) {
	t.Parallel()
	pdf, err := PDF(exampleSheet)
	if err != nil {
		t.Fatal(err)
	}
	text, _ := printed(t, pdf)
	if got, want := letters(text), letters(exampleSheet.Text()); got != want {
		t.Errorf("printed %q\nwant    %q", got, want)
	}
}

func TestTheSameSheetIsPrintedInTheSameBytes(t *testing.T) {
	t.Parallel()
	first, err := PDF(exampleSheet)
	if err != nil {
		t.Fatal(err)
	}
	again, err := PDF(exampleSheet)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(first, again) {
		t.Error("the same sheet gave other bytes")
	}
}

// Sixty lines of the widest letters are more than a page in any usual type.
func TestASheetInPrintIsOnePageHoweverWideItsWords(t *testing.T) {
	t.Parallel()
	wide := sheet.Sheet{Title: "Wide", Sections: []sheet.Section{{Title: "Lines"}}}
	for range 57 {
		wide.Sections[0].Lines = append(wide.Sections[0].Lines, strings.Repeat("WWWW ", 18))
	}
	pdf, err := PDF(wide)
	if err != nil {
		t.Fatal(err)
	}
	text, pages := printed(t, pdf)
	if pages != 1 || strings.Count(text, "W") < 57*18*4 {
		t.Errorf("%d pages with %d letters, want 1 with all", pages, strings.Count(text, "W"))
	}
}

// Makers write their names in every script; the typeface has Latin, Greek and Cyrillic.
func TestASheetWithSignsThatTheTypeLacksIsPrinted(t *testing.T) {
	t.Parallel()
	s := exampleSheet
	s.Title = "山葉 🎹 Maker"
	pdf, err := PDF(s)
	if err != nil {
		t.Fatal(err)
	}
	if text, pages := printed(t, pdf); pages != 1 || !strings.Contains(text, "?? ? Maker") {
		t.Errorf("%d pages: %q", pages, text)
	}
}
