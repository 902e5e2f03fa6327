package scope_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/scope"
	"bentside/domain/survey"
)

// Edits on the shipped catalogue, as a rebuilder would judge them: common practice, no source.

var (
	wornCase     = domaintest.Number("SV-50", "3", "")
	rustyStrings = domaintest.Number("SV-16", "3", "")
	crackedPlank = domaintest.Number("SV-15", "4", "")
	flatHammers  = domaintest.Number("SV-33", "9", "")
)

// removeWhy returns an edit that leaves an operation out for a reason.
func removeWhy(code, why string) scope.Edit {
	e := remove(code)
	e.Why = why
	return e
}

// onTheWordOf returns an edit that leaves out an operation that other work needs.
func onTheWordOf(by string, code string, because scope.Ground, why string) scope.Edit {
	e := removeWhy(code, why)
	e.Because, e.By = because, by
	return e
}

// edited draws a black grand under edits.
func edited(
	t testing.TB, depth catalogue.Depth, findings []survey.Finding, edits ...scope.Edit,
) (scope.Scope, error) {
	t.Helper()
	c, in := domaintest.Shipped(t), domaintest.Grand()
	return scope.Draw(c, in, domaintest.Judged(t, c, in, findings), depth, edits, domaintest.Odds)
}

// wantRefusal wants edits refused with a text and, somewhere in the chain, each of some others.
func wantRefusal(t testing.TB, err error, detail string, chain ...string) {
	t.Helper()
	f := domaintest.FaultOf(err)
	if f == nil || f.Kind != domain.Conflict || !strings.Contains(f.Detail, detail) {
		t.Errorf("got %v, want a conflict with %q", err, detail)
		return
	}
	for _, want := range chain {
		if !slices.ContainsFunc(f.Chain, func(s string) bool { return strings.Contains(s, want) }) {
			t.Errorf("no %q in the chain\n %s", want, strings.Join(f.Chain, "\n "))
		}
	}
}

func TestAddedHandPolishingBringsTheWholeOfIt(t *testing.T) {
	t.Parallel()
	whole := "CS-01 CS-01L CS-03 CS-03L CS-07 CS-07L CS-08 CS-08L"
	for _, depth := range catalogue.Depths {
		for _, code := range []string{"CS-07", "CS-07L", "CS-08"} {
			s := domaintest.ScopeOf(
				t, domaintest.Grand(), depth, []survey.Finding{wornCase}, domaintest.Add(code),
			)
			wantLines(t, s, whole, "CS-05 CS-05L CS-06 CS-06L CS-09 CS-09L")
		}
	}
	sprayed := domaintest.ScopeOf(
		t, domaintest.Grand(), catalogue.Recondition, nil, domaintest.Add("CS-05"),
	)
	wantLines(t, sprayed, "CS-01 CS-01L CS-03 CS-03L CS-05 CS-05L CS-06 CS-06L", "CS-09 CS-09L")
}

// Lid and legs polished by hand, the rim left as it is, is done: it takes a reason for each part of
// it that rim and lid usually share.
func TestTheRimMayBeLeftOutOfPolishingWithAReason(t *testing.T) {
	t.Parallel()
	rim := []string{"CS-01", "CS-03", "CS-07", "CS-08"}
	edits := []scope.Edit{domaintest.Add("CS-07L")}
	for _, code := range rim {
		edits = append(edits, removeWhy(code, "the rim is as good as new"))
	}
	s := domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Recondition, nil, edits...)
	wantLines(t, s, "CS-01L CS-03L CS-07L CS-08L", strings.Join(rim, " "))
	edits[3].Why = ""
	_, err := edited(t, catalogue.Recondition, nil, edits...)
	wantRefusal(t, err, "CS-07 (Rim: build shellac) can't be left out without a reason",
		"rim and loose parts get one finish")
	_, err = edited(t, catalogue.Recondition, nil, edits[:2]...)
	wantRefusal(t, err, "CS-01 (Rim: strip old finish) can't be left out",
		"only bare wood is sanded and sealed")
}

func TestAPlankIsNeverDrilledWithTheStringsOn(t *testing.T) {
	t.Parallel()
	for _, depth := range catalogue.Depths {
		s := domaintest.ScopeOf(t, domaintest.Grand(), depth, nil, domaintest.Add("BD-03"))
		wantLines(
			t, s, "DS-01 DS-02 DS-03 BD-02 BD-03 FR-02 FR-06 ST-01 ST-02 ST-03 ST-05 CS-12",
			"ST-04 BD-04 BD-05",
		)
	}
}

func TestAPlankIsNotLeftOutWhileItsDrillingStays(t *testing.T) {
	t.Parallel()
	findings := []survey.Finding{crackedPlank}
	_, err := edited(t, catalogue.Restore, findings, remove("BD-02"))
	wantRefusal(t, err, "BD-02 (New rest plank cut and fitted) can't be left out: BD-03",
		"BD-03 needs BD-02: what is drilled is a new plank", "SV-15: plank parted or cracked through")
	_, err = edited(t, catalogue.Restore, findings, remove("BD-03"))
	wantRefusal(t, err, "BD-03 (New rest plank drilled through the frame) can't be left out: BD-02")
	s := domaintest.ScopeOf(
		t, domaintest.Grand(), catalogue.Restore, findings, remove("BD-02"), remove("BD-03"),
	)
	wantLines(t, s, "ST-04", "BD-02 BD-03 DS-03 ST-02")
}

func TestARestringNeverGoesWithoutPins(t *testing.T) {
	t.Parallel()
	for _, depth := range catalogue.Depths {
		for _, e := range []scope.Edit{
			domaintest.Choose("STRING", "restring"), domaintest.Add("ST-02"), domaintest.Add("ST-05"),
		} {
			s := domaintest.ScopeOf(t, domaintest.Grand(), depth, nil, e)
			wantLines(t, s, "DS-02 BD-04 ST-01 ST-02 ST-03 ST-05", "ST-04")
			if pins := domaintest.Consumed(
				t, domaintest.Grand(), s, nil, "ST-02", "rest pins, one size up",
			); !pins.IsPositive() {
				t.Errorf("%s %s%s: no pins", depth, e.Operation, e.Option)
			}
			_, err := edited(t, depth, nil, e, remove("BD-04"))
			wantRefusal(t, err, "BD-04 (Kept rest plank: holes cleaned or reamed for larger pins) can't "+
				"be left out: ST-02", "new strings go on new pins")
		}
	}
	findings := []survey.Finding{rustyStrings, crackedPlank}
	_, err := edited(t, catalogue.Restore, findings, remove("BD-02"), remove("BD-03"))
	wantRefusal(t, err, "what PLANK=replace does can't all be left out: ST-02")
}

// A bass set alone is a half-measure that the trade knows; so are single strings, rollers alone,
// loose pins treated, a case touched up.
func TestHalfMeasuresOfTheTradeStayPossible(t *testing.T) {
	t.Parallel()
	for _, x := range []struct {
		name      string
		depth     catalogue.Depth
		edit      scope.Edit
		want, not string
	}{
		{
			"a bass set", catalogue.Recondition, domaintest.Choose("STRING", "bass_set"),
			"ST-01 ST-03 ST-04 TU-02A", "DS-02 ST-02 ST-05 BD-04 TU-02",
		},
		{
			"new covered strings beside the kept", catalogue.Recondition, domaintest.Add("ST-03"),
			"ST-01 ST-03 ST-04 TU-02A", "DS-02 ST-02 ST-05 BD-04 TU-02",
		},
		{
			"a bass set for a piano sold as found", catalogue.AsFound, domaintest.Add("ST-03"),
			"DS-01 ST-01 ST-03 ST-04 CS-12 TU-02A", "DS-02 ST-02 ST-05 RG-01",
		},
		{
			"single strings", catalogue.AsFound, domaintest.Add("ST-04"), "DS-01 ST-04 CS-12",
			"ST-01 ST-03",
		},
		{
			"rollers alone", catalogue.Recondition, domaintest.Add("AC-07"), "AC-07 RG-01",
			"AC-05 AC-06 AC-01",
		},
		{
			"loose pins treated", catalogue.AsFound, domaintest.Add("BD-05"), "BD-05 TU-01",
			"DS-02 BD-04",
		},
		{
			"a case touched up in place", catalogue.AsFound, domaintest.Add("CS-09"),
			"CS-09 CS-09L", "CS-01 CS-03",
		},
		{"a key frame", catalogue.AsFound, domaintest.Add("KY-01"), "DS-01 KY-01 RG-01 CS-12", "AC-01"},
	} {
		t.Run(x.name, func(t *testing.T) {
			t.Parallel()
			s := domaintest.ScopeOf(t, domaintest.Grand(), x.depth, nil, x.edit)
			wantLines(t, s, x.want, x.not)
		})
	}
}

func TestWhatIsUsualMayBeLeftOutWithAReason(t *testing.T) {
	t.Parallel()
	findings := []survey.Finding{rustyStrings}
	_, err := edited(t, catalogue.Restore, findings, remove("DA-01"))
	wantRefusal(t, err, "can't be left out without a reason: ST-02 (String the plain wire) usually",
		"old damper felt carries the print", "SV-16: rust")
	s := domaintest.ScopeOf(
		t, domaintest.Grand(), catalogue.Restore, findings, removeWhy("DA-01", "felts of last year"),
	)
	wantLines(t, s, "ST-02", "DA-01")
	_, err = edited(t, catalogue.Restore, findings, domaintest.Choose("SETTLING", "one_pass"))
	wantRefusal(t, err, "SETTLING can't be settled as one_pass without a reason: ST-02",
		"new wire gives for weeks")
	one := domaintest.Choose("SETTLING", "one_pass")
	one.Why = "its owner tunes it himself"
	s = domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Restore, findings, one)
	wantLines(t, s, "ST-02 TU-02A", "TU-02")
}

func TestWhatIsNeededIsLeftOutOnTheWordOfANamedPersonOnly(t *testing.T) {
	t.Parallel()
	findings := []survey.Finding{crackedPlank}
	_, err := edited(t, catalogue.Restore, findings, removeWhy("BD-02", "put in in 2019"))
	wantRefusal(t, err, "BD-02 (New rest plank cut and fitted) can't be left out")
	s := domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Restore, findings,
		onTheWordOf("Ada Fernwood", "BD-02", scope.Done, "put in in 2019 and never drilled"))
	wantLines(t, s, "DS-03 BD-03 FR-06 ST-02", "BD-02 BD-04")
	s = domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Recondition, nil,
		domaintest.Choose("STRING", "restring"),
		onTheWordOf("Ada Fernwood", "BD-04", scope.Kept, "the holes take pins of a size up as they are"))
	wantLines(t, s, "DS-02 ST-02 ST-05", "BD-04")
}

// A piano that comes with its frame out is not lifted again, but goes back together.
func TestWhatIsDoneAlreadyStillBringsWhatGoesWithIt(t *testing.T) {
	t.Parallel()
	in := onTheWordOf("Ada Fernwood", "DS-03", scope.Done, "it came on two pallets")
	s := domaintest.ScopeOf(
		t, domaintest.Grand(), catalogue.Restore, []survey.Finding{crackedPlank}, in,
	)
	wantLines(t, s, "BD-02 BD-03 FR-02 FR-06 DS-02 ST-02", "DS-03")
	pieces := onTheWordOf("Ada Fernwood", "DS-01", scope.Done, "it came in pieces")
	s = domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Recondition, nil, pieces)
	wantLines(t, s, "KY-01 RG-01 CS-12", "DS-01")
}

func TestTheWordOfAPersonIsTakenWholeOrNotAtAll(t *testing.T) {
	t.Parallel()
	e := onTheWordOf("", "BD-02", "sold", "")
	nameless, added := onTheWordOf("", "BD-02", scope.Done, "seen"), domaintest.Add("BD-02")
	added.By = "Ada Fernwood"
	silent := onTheWordOf("Ada Fernwood", "BD-02", scope.Kept, "")
	_, err := edited(t, catalogue.Restore, nil, e, nameless, added, silent)
	f := domaintest.FaultOf(err)
	if f == nil || f.Kind != domain.Invalid {
		t.Fatalf("got %v, want an invalid fault", err)
	}
	var got []string
	for _, x := range f.Fields {
		got = append(got, x.Pointer)
	}
	want := []string{"#/edits/0/because", "#/edits/1/by", "#/edits/2/kind", "#/edits/3/why"}
	if !slices.Equal(got, want) {
		t.Errorf("faults at %v, want %v", got, want)
	}
}

// New shanks bring their rollers. Rollers added beside them don't drive the new hammers out.
func TestRollersDoNotDriveOutNewHammers(t *testing.T) {
	t.Parallel()
	_, err := edited(t, catalogue.Restore, []survey.Finding{flatHammers}, domaintest.Add("AC-07"))
	wantRefusal(t, err, "can't be added: HAMMER is settled as replace", "AC-07 belongs to HAMMER=keep or HAMMER=reface")
}

func TestAnAdditionThatSeveralOptionsAllowNamesThemAll(t *testing.T) {
	t.Parallel()
	_, err := edited(
		t, catalogue.Recondition, nil, domaintest.Choose("FINISH", "touchup"), domaintest.Add("CS-01"),
	)
	wantRefusal(t, err, "CS-01 (Rim: strip old finish) can't be added: FINISH is settled as touchup",
		"CS-01 belongs to FINISH=polyester or FINISH=shellac")
}

func chance(code catalogue.Code, odds string) scope.Edit {
	return scope.Edit{
		Kind: scope.SetChance, Operation: code, Chance: domaintest.Ptr(domaintest.Dec(odds)),
	}
}

// Whether the plank must go will show when the pins are drawn: its drilling comes and goes with it,
// and where it stays it takes pins a size up.
func TestAChanceOfANewPlankIsOneOfItsDrillingToo(t *testing.T) {
	t.Parallel()
	s := domaintest.ScopeOf(
		t, domaintest.Grand(), catalogue.Restore, []survey.Finding{rustyStrings},
		domaintest.Choose("PLANK", "replace"), chance("BD-02", "0.4"),
	)
	for code, want := range map[catalogue.Code]string{
		"BD-02": "0.4", "BD-03": "0.4", "DS-03": "0.4", "BD-04": "0.6", "ST-02": "1",
	} {
		if got := lineOf(t, s, code).Chance; !got.Equal(domaintest.Dec(want)) {
			t.Errorf("%s has chance %s, want %s", code, got, want)
		}
	}
}

func TestWhatCertainWorkNeedsIsNotLeftToChance(t *testing.T) {
	t.Parallel()
	_, err := edited(t, catalogue.Recondition, nil, chance("DS-01", "0.4"))
	wantRefusal(t, err, "DS-01 (Strip down: lid, fall, desk, lyre, action, keys, dampers) can't be "+
		"given a chance of its own: ", "needs DS-01")
	_, err = edited(t, catalogue.Restore, []survey.Finding{crackedPlank}, chance("FR-06", "0.9"))
	wantRefusal(t, err, "FR-06 (Refit the frame for good) can't be given a chance of its own",
		"DS-03 needs FR-06", "BD-02 needs DS-03")
}
