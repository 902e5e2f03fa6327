package catalogue_test

import (
	"bytes"
	"errors"
	"os"
	"slices"
	"strings"
	"testing"

	"bentside/domain/catalogue"

	"pgregory.net/rapid"
)

func TestFilesOfTheShippedCatalogueLoadToTheSameAgain(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	files, err := c.Files()
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, f := range files {
		names = append(names, f.Name)
	}
	if !slices.Equal(names, catalogue.FileNames()) {
		t.Errorf("files %v, want %v", names, catalogue.FileNames())
	}
	again, err := catalogue.LoadFiles(files)
	if err != nil {
		t.Fatal(err)
	}
	if got := again.DescendedFrom(c); got.Hash() != c.Hash() {
		t.Errorf("rows that differ: %v", catalogue.Diff(c, got))
	}
}

// Any catalogue that has passed its checks comes back from its files byte for byte, figures and
// texts of every sort included.
func TestExportThenImportIsTheIdentity(t *testing.T) {
	t.Parallel()
	whole := shipped(t)
	base := &catalogue.Catalogue{Currency: whole.Currency, Points: whole.Points}
	for _, code := range []catalogue.Code{
		"BD-02", "KY-02", "FR-05", "TU-02", "CS-01", "IN-01", "IN-02", "IN-03", "QC-03",
	} {
		o := *whole.Operation(code)
		o.Lead = nil // which may name other operations
		base.Operations = append(base.Operations, o)
	}
	text := rapid.StringOfN(rapid.RuneFrom([]rune(`abzß€ ,;"'|/..=-+0`)), 1, 12, -1).Filter(func(s string) bool { return !strings.ContainsAny(s[:1], "=+-@") })
	figure := rapid.Custom(func(t *rapid.T) string {
		return rapid.SampledFrom(
			[]string{"0", "1", "0.000001", "12.50", "99999.999999", "7.0"},
		).Draw(t, "figure")
	})
	rapid.Check(t, func(t *rapid.T) {
		three := func(name string) catalogue.ThreePoint {
			f := []string{figure.Draw(t, name), figure.Draw(t, name), figure.Draw(t, name)}
			slices.SortFunc(f, func(a, b string) int { return dec(a).Cmp(dec(b)) })
			return catalogue.ThreePoint{Low: dec(f[0]), Likely: dec(f[1]), High: dec(f[2])}
		}
		var changes []catalogue.Change
		put := func(r catalogue.Row) {
			changes = append(changes, catalogue.Change{Put: &r, Why: "so"})
		}
		for _, o := range base.Operations {
			o.Name, o.Note, o.Tail = text.Draw(t, "name"), text.Draw(t, "note"), three("tail")
			o.ForSale = rapid.Bool().Draw(t, "for sale") && len(o.Marks) == 0
			if rapid.Bool().Draw(t, "ordered") {
				o.Lead = &catalogue.Lead{
					Item: text.Draw(t, "item"), Weeks: three("weeks"), Standing: "derived",
				}
			}
			if o.Buying != nil {
				offer := *o.Buying
				offer.Carriage, offer.TurnRound = three("carriage"), three("turn-round")
				offer.Price = map[catalogue.Kind]catalogue.ThreePoint{}
				for kind := range o.Hours {
					offer.Price[kind] = three("price")
				}
				o.Buying = &offer
			}
			if rapid.Bool().Draw(t, "sittings") {
				o.Sessions = &catalogue.Sessions{
					PerUnit: true, GapHours: dec(figure.Draw(t, "gap")),
				}
			}
			put(catalogue.Row{Operation: &o})
		}
		link := catalogue.Link{
			From: "BD-02", To: "KY-02", Type: catalogue.StartStart,
			Hard: rapid.Bool().Draw(t, "hard"), Reason: text.Draw(t, "reason"),
		}
		if rapid.Bool().Draw(t, "lag") {
			lag := dec(figure.Draw(t, "lag"))
			link.LagHours = &lag
		}
		put(catalogue.Row{Link: &link})
		put(catalogue.Row{Material: &catalogue.Material{
			Operation: "BD-02", Name: text.Draw(
				t, "material",
			), Unit: "each", Driver: "instrument", PerDriver: dec("1"), UnitPrice: three("unit price"),
			When: rapid.SampledFrom(
				[]catalogue.Condition{"", "kind:grand", "op:BD-02|!op:KY-02;year<1975"},
			).Draw(t, "when"), Standing: "from memory",
		}})
		put(catalogue.Row{Choice: &catalogue.Choice{Group: "PLANK", Options: []catalogue.Option{
			{Name: "keep", Standing: "derived"},
			{
				Name: "replace", Operations: []catalogue.Code{"BD-02"}, Refused: "op:KY-02",
				RefusedWhy: text.Draw(t, "refused"), Standing: "derived",
			},
		}}})
		put(
			catalogue.Row{
				Companion: &catalogue.Companion{
					ID: "with", When: "KY-02",
					Calls: []catalogue.Call{
						{Group: "PLANK", Option: "keep"}, {Operation: "FR-05"},
					},
					Reason: text.Draw(t, "why"),
				},
			},
		)
		put(
			catalogue.Row{
				Rule: &catalogue.Rule{
					ID: "say", Depths: catalogue.Depths, When: "always", Suggest: true,
					Reason: text.Draw(t, "says"), Standing: "derived",
				},
			},
		)
		c, err := base.With(changes)
		if err != nil {
			t.Fatal(err)
		}
		files, err := c.Files()
		if err != nil {
			t.Fatal(err)
		}
		again, err := catalogue.LoadFiles(files)
		if err != nil {
			t.Fatal(err)
		}
		if again = again.DescendedFrom(c); !bytes.Equal(again.Canonical(), c.Canonical()) {
			t.Fatalf("rows that differ: %v", catalogue.Diff(c, again))
		}
	})
}

func shippedFiles(tb testing.TB) []catalogue.File {
	tb.Helper()
	var files []catalogue.File
	for _, name := range catalogue.FileNames() {
		b, err := os.ReadFile("data/" + name)
		if err != nil {
			tb.Fatal(err)
		}
		files = append(files, catalogue.File{Name: name, Body: b})
	}
	return files
}

// Each row breaks one file; the fault must name file, line and column.
func TestAFaultOfDataFilesNamesFileLineAndColumn(t *testing.T) {
	t.Parallel()
	for _, row := range []struct{ name, file, from, to, where, column, says string }{
		{
			"a figure that is none", "links.csv", "RG-01,RG-02,FS,168", "RG-01,RG-02,FS,1x8",
			"links.csv", "lag_hours", "must be a number",
		},
		{
			"a word that is not known", "operations.csv", ",drying room,", ",sauna,",
			"operations.csv", "station", "sauna",
		},
		{
			"a code that is not there", "leads.csv", "0.5/1/2,ST-01", "0.5/1/2,ST-99", "leads.csv",
			"after", "ST-99",
		},
		{
			"text in another encoding", "rules.csv", "worn sharps", "worn \xe9sharps", "rules.csv",
			"reason", "not UTF-8",
		},
		{"a formula", "rules.csv", "worn sharps", `=HYPERLINK("x")`, "rules.csv", "reason", "like a formula"},
		{
			"a line break in a cell", "rules.csv", "worn sharps", "\"worn\nsharps\"", "rules.csv",
			"reason", "line break",
		},
		{
			"cells missing", "links.csv", "RG-01,RG-02,FS,168", "RG-01,RG-02,168", "links.csv", "",
			"has 6 cells and must have 7",
		},
		{"a quote that does not end", "rules.csv", "worn sharps", `"worn sharps`, "rules.csv", "", "byte"},
	} {
		files := shippedFiles(t)
		at := slices.IndexFunc(files, func(f catalogue.File) bool { return f.Name == row.file })
		if !bytes.Contains(files[at].Body, []byte(row.from)) {
			t.Fatalf("%s has no %q", row.file, row.from)
		}
		to := row.to
		if row.name == "a formula" {
			to = `"` + strings.ReplaceAll(to, `"`, `""`) + `"`
		}
		files[at].Body = bytes.Replace(files[at].Body, []byte(row.from), []byte(to), 1)
		_, err := catalogue.LoadFiles(files)
		var flaws catalogue.Flaws
		if !errors.As(err, &flaws) {
			t.Errorf("%s: got %v, want Flaws", row.name, err)
			continue
		}
		if !slices.ContainsFunc(flaws, func(p *catalogue.Flaw) bool {
			return strings.HasPrefix(p.Where, row.where+":") && p.Column == row.column &&
				strings.Contains(p.Err.Error(), row.says)
		}) {
			t.Errorf(
				"%s: nothing at %s, column %q says %q in\n%v", row.name, row.where, row.column,
				row.says, err,
			)
		}
	}
}

func TestAFileSavedBySpreadsheetsIsRead(t *testing.T) {
	t.Parallel()
	files := shippedFiles(t)
	for i := range files { // a byte order mark, and lines that end as theirs do
		files[i].Body = append(
			[]byte("\xef\xbb\xbf"),
			bytes.ReplaceAll(files[i].Body, []byte("\n"), []byte("\r\n"))...,
		)
	}
	c, err := catalogue.LoadFiles(files)
	if err != nil {
		t.Fatal(err)
	}
	if got := c.DescendedFrom(shipped(t)); got.Hash() != shipped(t).Hash() {
		t.Errorf("rows that differ: %v", catalogue.Diff(shipped(t), got))
	}
}

func TestEveryMissingFileIsNamed(t *testing.T) {
	t.Parallel()
	_, err := catalogue.LoadFiles(nil)
	var flaws catalogue.Flaws
	if !errors.As(err, &flaws) || len(flaws) != len(catalogue.FileNames()) {
		t.Errorf("got %v, want a problem for each file", err)
	}
}

// FuzzLoadFiles puts any text in the place of one file: it is refused with Flaws, or gives a
// catalogue that can be written and read again.
func FuzzLoadFiles(f *testing.F) {
	good := shippedFiles(f)
	for i, file := range good {
		f.Add(i, file.Body)
		f.Add(i, bytes.ReplaceAll(file.Body, []byte(","), []byte(";")))
	}
	f.Add(0, []byte("code\n"))
	f.Add(0, []byte("code\n\"GBP\n"))
	f.Fuzz(func(t *testing.T, which int, body []byte) {
		files := slices.Clone(good)
		at := ((which % len(files)) + len(files)) % len(files)
		files[at].Body = body
		c, err := catalogue.LoadFiles(files)
		if err != nil {
			var flaws catalogue.Flaws
			if !errors.As(err, &flaws) || len(flaws) == 0 {
				t.Fatalf("refused without a problem: %v", err)
			}
			return
		}
		written, err := c.Files()
		if err != nil {
			t.Fatalf("read, but cannot be written: %v", err)
		}
		again, err := catalogue.LoadFiles(written)
		if err != nil || again.Hash() != c.Hash() {
			t.Fatalf("written and read again it differs: %v", err)
		}
	})
}
