package catalogue_test

import (
	"bytes"
	"errors"
	"regexp"
	"slices"
	"strings"
	"testing"

	"bentside/domain/catalogue"
)

// unmarked returns a catalogue as it was stored before marks were kept.
func unmarked(c *catalogue.Catalogue) []byte {
	return regexp.MustCompile(`"marks":\[[^\]]*\],`).ReplaceAll(c.Canonical(), nil)
}

// without returns the shipped data files with one mark taken out.
func without(t *testing.T, mark catalogue.Mark) []catalogue.File {
	t.Helper()
	c := *shipped(t)
	c.Operations, c.Points = slices.Clone(c.Operations), slices.Clone(c.Points)
	taken := 0
	take := func(marks []catalogue.Mark) []catalogue.Mark {
		left := slices.DeleteFunc(slices.Clone(marks), func(m catalogue.Mark) bool { return m == mark })
		taken += len(marks) - len(left)
		return left
	}
	for i := range c.Operations {
		c.Operations[i].Marks = take(c.Operations[i].Marks)
	}
	for i := range c.Points {
		c.Points[i].Marks = take(c.Points[i].Marks)
	}
	files, err := c.Files()
	if err != nil || taken != 1 {
		t.Fatalf("%s is taken from %d rows, want 1: %v", mark, taken, err)
	}
	return files
}

func TestAMarkIsFoundWhateverTheCodeOfItsRow(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	if got := c.OperationMarked(catalogue.ArrivalMark); got != "IN-02" {
		t.Errorf("arrival is marked at %s", got)
	}
	if got := c.PointMarked(catalogue.PitchMark); got != "SV-21" {
		t.Errorf("the pitch is marked at %s", got)
	}
	if c.OperationMarked(catalogue.PitchMark) != "" || c.PointMarked(catalogue.ArrivalMark) != "" {
		t.Error("a mark of one table is found in the other")
	}
	own := *c.Operation("IN-02")
	own.Code = "VAN-1"
	bare := *c.Operation("IN-02")
	bare.Marks = nil
	next, err := c.With([]catalogue.Change{
		{
			Put: &catalogue.Row{Operation: &bare}, Why: "a firm does it",
		}, {Put: &catalogue.Row{Operation: &own}, Why: "our own van"},
	})
	if err != nil {
		t.Fatal(err)
	}
	if got := next.OperationMarked(catalogue.ArrivalMark); got != "VAN-1" {
		t.Errorf("moved, arrival is marked at %s", got)
	}
}

func TestAMarkThatTheProgramNeedsMustHaveAHolder(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		mark catalogue.Mark
		file string
	}{
		{"survey", "operations.csv"},
		{"arrival", "operations.csv"},
		{"record", "operations.csv"},
		{"ready", "operations.csv"},
		{"frame_crack", "points.csv"},
		{"covering", "points.csv"},
		{"protected_timber", "points.csv"},
	} {
		_, err := catalogue.LoadFiles(without(t, row.mark))
		var flaws catalogue.Flaws
		if !errors.As(err, &flaws) || len(flaws) != 1 || flaws[0].Where != row.file ||
			flaws[0].Column != "marks" ||
			!strings.HasSuffix(err.Error(), "must hold the mark "+string(row.mark)) {
			t.Errorf(
				"without %s: got %v, want one problem of the column marks of %s", row.mark, err,
				row.file,
			)
		}
	}
}

// What a point only counts or measures, a take-off and the cautions can do without.
func TestAMarkThatOnlyAddsAFigureMayBeLeftOut(t *testing.T) {
	t.Parallel()
	for _, mark := range []catalogue.Mark{
		"keys", "broken_strings", "board_cracks", "loose_ribs", "unsound_coverings", "unsound_veneer",
		"pitch", "bearing", "old_coatings", "key_leads",
	} {
		if _, err := catalogue.LoadFiles(without(t, mark)); err != nil {
			t.Errorf("without %s: %v", mark, err)
		}
	}
}

func TestAnEditThatTakesTheHolderOfANeededMarkIsRefusedByName(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	haul, covering := *c.Operation("IN-02"), *c.Point("SV-42")
	haul.Marks, covering.Marks = nil, nil
	_, err := c.With([]catalogue.Change{
		{Set: &catalogue.Setting{Operation: "BD-02", Crew: 2}, Why: "two lift it"},
		{Put: &catalogue.Row{Operation: &haul}, Why: "tidied"},
		{Put: &catalogue.Row{Point: &covering}, Why: "tidied"},
	})
	want := "change 2: operations: marks: one of the operations must hold the mark arrival\n" +
		"change 3: points: marks: one of the points must hold the mark covering"
	if err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
}

func TestDataFilesFromBeforeMarksAreRefusedWithTheColumnThatTheyLack(t *testing.T) {
	t.Parallel()
	files := shippedFiles(t)
	at := slices.IndexFunc(files, func(f catalogue.File) bool { return f.Name == "points.csv" })
	files[at].Body = bytes.Replace(files[at].Body, []byte(",marks,"), []byte(","), 1)
	_, err := catalogue.LoadFiles(files)
	if err == nil ||
		!strings.Contains(err.Error(), "points.csv:1: lacks marks: the columns must be code,") {
		t.Errorf("got %v, want the missing column named", err)
	}
}

func TestAStoredDocumentFromBeforeMarksIsReadWithThem(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	stored := unmarked(c)
	if bytes.Contains(stored, []byte(`"marks"`)) {
		t.Fatal("the document has marks, so that it proves nothing")
	}
	for name, read := range map[string]func([]byte) (*catalogue.Catalogue, error){
		"Parse": catalogue.Parse, "ParseRows": catalogue.ParseRows,
	} {
		got, err := read(stored)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got.Canonical(), c.Canonical()) {
			t.Errorf("%s: rows that differ: %v", name, catalogue.Diff(c, got))
		}
		if offers := catalogue.ShippedChanges(got, c, got); len(offers) != 0 {
			t.Errorf("%s: marks are on offer as if they were new: %v", name, offers)
		}
	}
}

// A workshop may have dropped, retyped or renamed rows before there were marks: its revision is
// read as it is, and the covering stands where ivory can be answered.
func TestAStoredDocumentFromBeforeMarksMayLackRowsThatAreNeededNow(t *testing.T) {
	t.Parallel()
	text := string(unmarked(shipped(t)))
	for _, x := range [][2]string{{"SV-42", "OWN-7"}, {"QC-03", "OWN-8"}, {`"unit":"cents"`, `"unit":"mm"`}} {
		if !strings.Contains(text, x[0]) {
			t.Fatalf("the document has no %s", x[0])
		}
		text = strings.ReplaceAll(text, x[0], x[1])
	}
	c, err := catalogue.Parse([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	if got := c.PointMarked(catalogue.CoveringMark); got != "OWN-7" {
		t.Errorf("the covering is marked at %q, want OWN-7", got)
	}
	if ready, pitch := c.OperationMarked(
		catalogue.ReadyMark,
	), c.PointMarked(catalogue.PitchMark); ready != "" || pitch != "" {
		t.Errorf("ready is marked at %q and the pitch at %q, want neither", ready, pitch)
	}
	again, err := catalogue.Parse(c.Canonical())
	if err != nil || !bytes.Equal(again.Canonical(), c.Canonical()) {
		t.Errorf("read, written and read again it differs: %v", err)
	}
	edit := []catalogue.Change{
		{Set: &catalogue.Setting{Operation: "BD-02", Crew: 2}, Why: "two lift it"},
	}
	if _, err := c.With(edit); err == nil ||
		err.Error() != "operations: marks: one of the operations must hold the mark ready" {
		t.Errorf("an edit that leaves the mark out: got %v", err)
	}
	ready := *c.Operation("OWN-8")
	ready.Marks = []catalogue.Mark{catalogue.ReadyMark}
	if _, err := c.With(
		append(edit, catalogue.Change{Put: &catalogue.Row{Operation: &ready}, Why: "marked"}),
	); err != nil {
		t.Errorf("an edit that gives the mark: %v", err)
	}
}

func TestSeveritiesRankFromUnknownToMustAct(t *testing.T) {
	t.Parallel()
	order := []catalogue.Severity{
		catalogue.Unknown, catalogue.Sound, catalogue.Attention, catalogue.MustAct,
	}
	for i, s := range order {
		if s.Rank() != i {
			t.Errorf("%s ranks %d, want %d", s, s.Rank(), i)
		}
	}
	if catalogue.Severity("").Rank() != 0 {
		t.Error("a finding that isn't raised ranks above unknown")
	}
}
