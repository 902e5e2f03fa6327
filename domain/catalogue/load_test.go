package catalogue_test

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"bentside/domain/catalogue"
)

func TestTheShippedCatalogueLoads(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	if c.Currency != "GBP" {
		t.Errorf("prices are in %s, want GBP", c.Currency)
	}
	if err := c.Check(); err != nil {
		t.Error(err)
	}
}

func TestEveryLinkAndCompanionSaysHowFarItMayBeTrusted(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	for _, l := range c.Links {
		if l.Standing == "" {
			t.Errorf("the link from %s to %s has no standing", l.From, l.To)
		}
	}
	for _, k := range c.Companions {
		if k.Standing == "" {
			t.Errorf("the companion %s has no standing", k.ID)
		}
	}
}

func TestTheReadmeCountsTheShippedCatalogue(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	c := shipped(t)
	says := fmt.Sprintf("holds %d operations, %d survey points", len(c.Operations), len(c.Points))
	if !strings.Contains(strings.Join(strings.Fields(string(text)), " "), says) {
		t.Errorf("the README must say that the shipped catalogue %s", says)
	}
}

func TestRowsAreFoundByTheirKeys(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	for i, o := range c.Operations {
		if c.Operation(o.Code).Code != o.Code || c.Position(o.Code) != i {
			t.Errorf("%s is not found in its place", o.Code)
		}
	}
	if c.Operation("XX-99") != nil || c.Position("XX-99") != -1 || c.Point("XX-99") != nil ||
		c.Choice("XX") != nil {
		t.Error("something is found by a code that nothing has")
	}
	if got := c.OptionsWith("CS-01"); !slices.Equal(
		got,
		[]catalogue.OptionRef{
			{Group: "FINISH", Option: "polyester"}, {Group: "FINISH", Option: "shellac"},
		},
	) {
		t.Errorf("options with CS-01: %v", got)
	}
	if got := c.OptionsWith("AC-07"); !slices.Equal(
		got, []catalogue.OptionRef{
			{Group: "HAMMER", Option: "keep"}, {Group: "HAMMER", Option: "reface"},
		},
	) {
		t.Errorf("options with AC-07, which new hammers bring along: %v", got)
	}
	into := c.LinksInto("BD-02")
	if len(into) != 3 || into[0].From != "DS-03" || into[1].From != "BD-01" ||
		into[2].From != "FR-01" {
		t.Errorf("links into BD-02: %v", into)
	}
	if got := len(c.MaterialsOf("ST-02")); got != 4 {
		t.Errorf("%d materials of ST-02, want wire, bushings and two sizes of pins", got)
	}
	if got := c.CompanionsOf("BD-02"); len(got) != 2 || got[0].Calls[0].Operation != "DS-03" {
		t.Errorf("companions of BD-02: %v", got)
	}
	// A catalogue put together by hand has no index yet and finds the same.
	hand := &catalogue.Catalogue{Currency: c.Currency, Operations: c.Operations, Points: c.Points}
	if hand.Operation("BD-02").Name != c.Operation("BD-02").Name ||
		hand.Point("SV-13").Observe != c.Point("SV-13").Observe {
		t.Error("rows are not found without an index")
	}
}

// folder is the shipped folder with one piece of text changed in one file; it gives the line of the
// change.
func folder(t *testing.T, file, from, to string) (fs.FS, int) {
	t.Helper()
	m := fstest.MapFS{}
	entries, err := os.ReadDir("data")
	if err != nil {
		t.Fatal(err)
	}
	line := 0
	for _, e := range entries {
		b, err := os.ReadFile("data/" + e.Name())
		if err != nil {
			t.Fatal(err)
		}
		if e.Name() == file {
			before, _, ok := strings.Cut(string(b), from)
			if !ok {
				t.Fatalf("%s has no %q", file, from)
			}
			line = strings.Count(before, "\n") + strings.Count(
				from[:len(from)-len(strings.TrimLeft(from, "\n"))], "\n",
			) + 1
			b = []byte(strings.Replace(string(b), from, to, 1))
		}
		m[e.Name()] = &fstest.MapFile{Data: b}
	}
	return m, line
}

// Each row breaks one promise of the shipped files; the error must name file and line of the break.
func TestABrokenRowIsNamedByFileAndLine(t *testing.T) {
	t.Parallel()
	rows := []struct{ name, file, from, to, want string }{
		{"companion of no known standing", "companions.csv", `come off,"common`, `come off,"hearsay, not common`, "must begin with one of"},
		{"link to an operation that is not there", "links.csv", "\nDS-02,DS-03,FS", "\nDS-02,DS-33,FS", `to: unknown operation "DS-33"`},
		{"link from an operation that is not there", "links.csv", "\nDS-02,DS-03,FS", "\nDX-02,DS-03,FS", `from: unknown operation "DX-02"`},
		{"link of no known type", "links.csv", "\nDS-02,DS-03,FS", "\nDS-02,DS-03,FZ", `unknown type of link "FZ"`},
		{
			"link that binds somehow", "links.csv", "\nDS-02,DS-03,FS,,hard",
			"\nDS-02,DS-03,FS,,maybe", "must be hard, lapsing or soft",
		},
		{
			"link that appears twice", "links.csv", "\nDS-02,DS-03,FS",
			"\nDS-01,DS-02,FS,,hard,again,from memory\nDS-02,DS-03,FS", "appears twice",
		},
		{"link of no known standing", "links.csv", `strings pull,"common`, `strings pull,"hearsay, not common`, "must begin with one of"},
		{
			"negative lag", "links.csv", "\nRG-01,RG-02,FS,168", "\nRG-01,RG-02,FS,-168",
			"a lag must not be negative",
		},
		{
			"three-point hours out of order", "operations.csv", ",28,0,12,45,", ",28,0,32,45,",
			"grand hours 32/28/45 must rise from low to high",
		},
		{
			"three-point tail out of order", "operations.csv", "48/96/168,down to",
			"48/196/168,down to", "tail 48/196/168 must rise from low to high",
		},
		{
			"tail that isn't three figures", "operations.csv", "48/96/168,down to", "48/96,down to",
			"must be low/likely/high",
		},
		{"figure that is none", "operations.csv", ",28,0,12,45,", ",28,0,1e3,45,", `"1e3" must be a number`},
		{"unknown driver", "operations.csv", "belly,rib,", "belly,ribbon,", `unknown driver "ribbon"`},
		{"unknown station", "operations.csv", ",drying room,", ",sauna,", `unknown station "sauna"`},
		{"unknown skill", "operations.csv", "\nVO-01,Voice the hammers,voicing,tuning,", "\nVO-01,Voice the hammers,voicing,singing,", `unknown skill "singing"`},
		{"unknown group of work", "operations.csv", ",frame,belly,letter,", ",frame,frame,letter,", `unknown group "frame"; use belly, action, case or nothing`},
		{"unknown hazard", "operations.csv", ",needles,", ",thorns,", `unknown hazard "thorns"`},
		{
			"standing of no known sort", "operations.csv", "from memory,without the journey",
			"certain,without the journey", "must begin with one of",
		},
		{"operation that appears twice", "operations.csv", "\nAC-02,", "\nAC-01,", "appears twice"},
		{"buyable without a price", "buying.csv", "\nFR-04,", "\nFR-05,", "done in house only"},
		{
			"price out of order", "buying.csv", "\nKY-02,110/160/250", "\nKY-02,310/160/250",
			"price 310/160/250 must rise from low to high",
		},
		{"lead after an operation that is not there", "leads.csv", "0.5/1/2,ST-01", "0.5/1/2,ST-99", `after: unknown operation "ST-99"`},
		{"lead out of order", "leads.csv", "3/5/10", "3/2/10", "weeks 3/2/10 must rise from low to high"},
		{"option with an operation that is not there", "choices.csv", "replace,BD-02;BD-03", "replace,BD-02;BD-33", `unknown operation "BD-33"`},
		{
			"operation in options of two groups", "choices.csv", "touch_in,,", "touch_in,ST-04,",
			"ST-04 must be in one choice only, and is in STRING=in_place too",
		},
		{
			"refusal without a reason", "choices.csv",
			"an upright has no roller repetition to convert to", "",
			"both a condition and a reason",
		},
		{
			"companion of no known necessity", "companions.csv",
			"\nstripped-goes-back,DS-01,,CS-12,needed", "\nstripped-goes-back,DS-01,,CS-12,handy",
			`necessity must be needed or usual, not "handy"`,
		},
		{"companion of an operation that is not there", "companions.csv", "\nstripped-goes-back,DS-01", "\nstripped-goes-back,DS-77", `when: unknown operation "DS-77"`},
		{"material of an operation that is not there", "materials.csv", "\nBD-13,soundboard varnish", "\nBD-93,soundboard varnish", `operation: unknown operation "BD-93"`},
		{
			"price of a material out of order", "materials.csv", "18/28/45,,", "18/58/45,,",
			"price 18/58/45 must rise from low to high",
		},
		{
			"waste beyond all", "materials.csv", "0.35,0.1,0.1,", "0.35,0.1,10,",
			"waste must be a share from 0 to 1",
		},
		{
			"limits must rise", "points.csv", "44..49,40..52", "44..49,45..52",
			"limits must rise",
		},
		{
			"limits beyond what can be a reading", "points.csv", "44..49,40..52,10..90",
			"44..49,40..52,42..90", "limits must rise",
		},
		{"unit that is none", "points.csv", "once,years,", "once,moons,", `unknown unit "moons"`},
		{"answer of no severity", "points.csv", "roller=sound", "roller=fine", `"fine" must be sound, attention or must_act`},
		{
			"flag of no severity", "points.csv", ",flag,,,,,must_act,a web", ",flag,,,,,,a web",
			"must be sound, attention or must_act",
		},
		{
			"rule that asks for a point that is not there", "rules.csv", "SV-39>=attention",
			"SV-99>=attention", "no such point",
		},
		{
			"rule that asks for an operation that is not there", "rules.csv",
			"SV-52:unknown;op:CS-01,", "SV-52:unknown;op:CS-99,", "no such operation",
		},
		{
			"rule that asks for an option that is not there", "rules.csv",
			"SV-22:attention;option:STRING=restring", "SV-22:attention;option:STRING=rewire",
			"no such option",
		},
		{
			"rule that asks for an answer that is not there", "rules.csv", "SV-02=over_damper",
			"SV-02=no_damper", "no such answer",
		},
		{
			"rule that asks for a side where nothing lies", "rules.csv",
			"SV-26:attention;option:STRING", "SV-29:high;option:STRING",
			"no reading lies on that side",
		},
		{
			"rule in no language", "rules.csv", "SV-39>=attention", "SV-39>>attention",
			"isn't a term",
		},
		{"rule that calls for an operation that is not there", "rules.csv", "SV-54:attention,BD-01", "SV-54:attention,BD-91", `calls: unknown operation "BD-91"`},
		{
			"rule that calls for an option that is not there", "rules.csv", ",NATURALS=recover,,,",
			",NATURALS=repaint,,,", "unknown option NATURALS=repaint",
		},
		{"rule of no depth", "rules.csv", "\nrestore-base,restore,", "\nrestore-base,renovate,", `unknown depth "renovate"`},
		{
			"rule that no depth can meet", "rules.csv", "\nbench-base,recondition;restore,always",
			"\nbench-base,recondition;restore,depth:as_found", "can't hold at any depth",
		},
		{
			"rule that does nothing", "rules.csv", "SV-54:attention,BD-01,,",
			"SV-54:attention,,,", "must call for work or suggest",
		},
		{
			"unknown point without what reveals it", "rules.csv", "KY-02,,IN-03,side play",
			"KY-02,,,side play", "name the work that reveals them",
		},
		{
			"known point with something to reveal it", "rules.csv", "SV-39>=attention,KY-02,,,",
			"SV-39>=attention,KY-02,,IN-03,", "name the work that reveals them",
		},
		{
			"unknown point that uprights never have", "rules.csv", "SV-38:unknown;kind:grand;",
			"SV-38:unknown;", "ask for kind:grand",
		},
		{
			"rule that looks at work only later rules bring in", "rules.csv",
			"\nevery-piano,as_found;recondition;restore,always",
			"\nevery-piano,as_found;recondition;restore,op:BD-02",
			"op:BD-02, which only later rules bring in",
		},
		{
			"rule that calls for what the kind cannot have", "rules.csv",
			"SV-02=obsolete_failed;kind:grand;!owner:client",
			"SV-02=obsolete_failed;kind:upright;!owner:client", "can't have it: upright",
		},
		{
			"missing column", "links.csv", "from,to,type", "from,toward,type",
			"the columns must be from,to,type",
		},
		{"yes that is none", "rules.csv", ",yes,", ",yea,", "must be yes or empty"},
		{"mark that is not known", "operations.csv", ",arrival,", ",fetched,", `"fetched" must be one of: survey, arrival, record, ready`},
		{"mark of a point at an operation", "operations.csv", ",arrival,", ",arrival;pitch,", `"pitch" must be one of`},
		{
			"mark that is held twice", "points.csv", ",bearing,", ",pitch,",
			"only one row must hold the mark pitch: SV-21 holds it too",
		},
		{
			"pitch in another unit", "points.csv", ",cents,number,", ",mm,number,",
			"the point marked pitch must be read in cents",
		},
		{
			"pitch that is graded", "points.csv", ",cents,number,", ",cents,grade,",
			"the point marked pitch must be of type number or count",
		},
		{
			"covering without ivory", "points.csv", ";ivory=must_act", ";tusk=must_act",
			"the point marked covering must have the answer ivory",
		},
		{
			"survey that is more than a survey", "operations.csv", ",survey,from memory",
			",survey;arrival,from memory", "the operation marked survey must hold no other mark",
		},
		{
			"ready that belongs to the sale", "operations.csv", ",,ready,", ",yes,ready,",
			"the operation marked ready must not belong to the sale",
		},
		{
			"crew of nobody", "operations.csv", ",3,12,1,0,3.5,2,8,2,", ",3,12,1,0,3.5,2,8,0,",
			"a crew must be 1 to 20 people, not 0",
		},
		{
			"crew of a regiment", "operations.csv", ",3,12,1,0,3.5,2,8,2,", ",3,12,1,0,3.5,2,8,21,",
			"a crew must be 1 to 20 people, not 21",
		},
		{
			"emission that is none", "operations.csv", ",noise,,string_tension;e", ",din,,string_tension;e",
			`unknown emission "din"; use one of nothing, dust, noise`,
		},
		{
			"refusal in no language", "choices.csv", ",op:DS-03,\"the frame is out, so every",
			",op>DS-03,\"the frame is out, so every", "refused: ",
		},
		{
			"condition on a point in small letters", "rules.csv", "SV-39>=attention", "sv-39>=attention",
			"when: ",
		},
		{"rule without an id", "rules.csv", "\nevery-piano,", "\n,", "must have an id and a reason"},
		{
			"group in small letters", "choices.csv", "\nHAMMER,reface", "\nhammer,reface",
			"group must be of capitals",
		},
		{
			"option in capitals", "choices.csv", "\nHAMMER,reface", "\nHAMMER,REFACE",
			"option of small letters",
		},
		{
			"companion without an id", "companions.csv", "\nstripped-goes-back,", "\n,",
			"must have an id, calls and a reason",
		},
		{
			"point without a code", "points.csv", "\nSV-21,", "\nsv-21,", "must have a code such as SV-13",
		},
		{"currency that is none", "currency.csv", "GBP", "pounds", `currency "pounds" must be`},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			t.Parallel()
			fsys, line := folder(t, row.file, row.from, row.to)
			_, err := catalogue.Load(fsys)
			var flaws catalogue.Flaws
			if !errors.As(err, &flaws) {
				t.Fatalf("got %v, want Flaws", err)
			}
			where := row.file + ":" + strconv.Itoa(line)
			if !slices.ContainsFunc(flaws, func(p *catalogue.Flaw) bool {
				return p.Where == where && strings.Contains(p.Error(), row.want)
			}) {
				t.Errorf("no problem at %s says %q; got\n%v", where, row.want, err)
			}
		})
	}
}

// The faults of an option's row name the choice that whoever edits the catalogue has before them.
func TestAFaultOfAnOptionNamesItsChoice(t *testing.T) {
	t.Parallel()
	c := *shipped(t)
	c.Choices = slices.Clone(c.Choices)
	last := len(c.Choices) - 1
	for _, at := range [][2]int{{0, 0}, {0, 1}, {last, 0}} {
		bad := c
		bad.Choices = slices.Clone(c.Choices)
		options := slices.Clone(c.Choices[at[0]].Options)
		options[at[1]].Standing = "hearsay"
		bad.Choices[at[0]].Options = options
		var flaws catalogue.Flaws
		if !errors.As(bad.Check(), &flaws) || len(flaws) != 1 {
			t.Fatalf("got %v, want one problem", flaws)
		}
		group := c.Choices[at[0]].Group
		if p := flaws[0]; p.Row != (catalogue.RowKey{Table: "choices", Row: group}) ||
			p.Where != "choices "+group+"="+options[at[1]].Name {
			t.Errorf("%s=%s: got %+v", group, options[at[1]].Name, p)
		}
	}
}

// Two sittings are the fewest that are sittings, and up to twenty people a crew.
func TestFiguresAtTheirBoundsAreTaken(t *testing.T) {
	t.Parallel()
	sittings := func(count int, perUnit bool, gap string) func(*catalogue.Operation) {
		return func(o *catalogue.Operation) {
			o.Sessions = &catalogue.Sessions{Count: count, PerUnit: perUnit, GapHours: dec(gap)}
		}
	}
	for name, x := range map[string]struct {
		change  func(*catalogue.Operation)
		refused bool
	}{
		"one person":        {func(o *catalogue.Operation) { o.Crew = 1 }, false},
		"twenty people":     {func(o *catalogue.Operation) { o.Crew = 20 }, false},
		"two sittings":      {sittings(2, false, "0"), false},
		"one sitting":       {sittings(1, false, "0"), true},
		"a sitting a unit":  {sittings(0, true, "0"), false},
		"two a unit":        {sittings(2, true, "0"), true},
		"sittings backward": {sittings(2, false, "-1"), true},
	} {
		c := *shipped(t)
		c.Operations = slices.Clone(c.Operations)
		x.change(&c.Operations[c.Position("TU-03")])
		if err := c.Check(); (err != nil) != x.refused {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Taking an option may not call, however far round, for its rival: the option is blamed, and the
// way is named.
func TestAnOptionThatCallsForItsRivalIsNamedWithTheWay(t *testing.T) {
	t.Parallel()
	fsys, _ := folder(
		t, "companions.csv", "\nstripped-goes-back,DS-01,,CS-12",
		"\nstripped-goes-back,DS-01,,HAMMER=replace",
	)
	_, err := catalogue.Load(fsys)
	_, line := folder(t, "choices.csv", "\nHAMMER,reface", "\nHAMMER,reface")
	want := "choices.csv:" + strconv.Itoa(line) +
		": must not call for HAMMER=replace, a more thorough option of the same choice: " +
		"AC-05 -> DS-01"
	if err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
	// A companion that holds only without the option isn't a contradiction.
	fsys, _ = folder(
		t, "companions.csv", "\nstripped-goes-back,DS-01,,CS-12",
		"\nstripped-goes-back,DS-01,!option:HAMMER=reface,HAMMER=replace",
	)
	if _, err := catalogue.Load(fsys); err != nil {
		t.Error(err)
	}
	// New hammers do for whatever asks for refaced ones.
	fsys, _ = folder(
		t, "companions.csv", "\nstripped-goes-back,DS-01,,CS-12",
		"\nstripped-goes-back,DS-01,,HAMMER=reface",
	)
	if _, err := catalogue.Load(fsys); err != nil {
		t.Error(err)
	}
}

func TestAFileThatIsEmptyOrMissingIsNamed(t *testing.T) {
	t.Parallel()
	for name, want := range map[string]string{
		"empty": "links.csv:1: the columns must be from,to,type", "missing": "links.csv: ",
	} {
		fsys, _ := folder(t, "links.csv", "from,to", "from,to")
		files, ok := fsys.(fstest.MapFS)
		if !ok {
			t.Fatal("the folder isn't in memory")
		}
		files["links.csv"] = &fstest.MapFile{}
		if name == "missing" {
			delete(files, "links.csv")
		}
		if _, err := catalogue.Load(files); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: got %v, want %q", name, err, want)
		}
	}
}

// No figure means nothing, as where a material is lost by the whole piece only.
func TestAnEmptyFigureIsNothing(t *testing.T) {
	t.Parallel()
	fsys, _ := folder(t, "materials.csv", "0.35,0.1,0.1,", "0.35,0.1,,")
	c, err := catalogue.Load(fsys)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.ContainsFunc(c.Materials, func(m catalogue.Material) bool {
		return m.PerDriver.Equal(dec("0.35")) && m.Fixed.Equal(dec("0.1")) && m.Waste.IsZero()
	}) {
		t.Error("the material isn't there without waste")
	}
}

func TestAllProblemsAreReportedAtOnce(t *testing.T) {
	t.Parallel()
	fsys, _ := folder(t, "links.csv", "\nDS-02,DS-03,FS", "\nDS-22,DS-33,FZ")
	_, err := catalogue.Load(fsys)
	var flaws catalogue.Flaws
	if !errors.As(err, &flaws) || len(flaws) != 3 {
		t.Errorf("got %v, want three flaws of one row", err)
	}
}

func TestARoundOfHardLinksIsNamedWhole(t *testing.T) {
	t.Parallel()
	fsys, line := folder(
		t, "links.csv", "\nDS-02,DS-03,FS",
		"\nBD-02,DS-02,FS,,hard,a round,from memory\nDS-02,DS-03,FS",
	)
	_, err := catalogue.Load(fsys)
	var round *catalogue.CycleError
	if !errors.As(err, &round) {
		t.Fatalf("got %v, want a CycleError", err)
	}
	if want := "hard links form a cycle: DS-02 -> DS-03 -> BD-01 -> BD-02 -> DS-02"; round.Error() != want {
		t.Errorf("got %q, want %q", round.Error(), want)
	}
	if want := "links.csv:" + strconv.Itoa(line); !strings.Contains(err.Error(), want) {
		t.Errorf("got %v, want %s named", err, want)
	}
	soft, _ := folder(
		t, "links.csv", "\nDS-02,DS-03,FS",
		"\nBD-02,DS-02,FS,,soft,no round,from memory\nDS-02,DS-03,FS",
	)
	if _, err := catalogue.Load(soft); err != nil {
		t.Errorf("a soft link binds nothing, so it closes no round: %v", err)
	}
}
