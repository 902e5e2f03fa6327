package job_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"github.com/google/uuid"
	"pgregory.net/rapid"
)

// halfDone are pianos that join half-done: what is done, and what is left.
var halfDone = []struct {
	name       string
	kind       catalogue.Kind
	depth      catalogue.Depth
	colour     string
	finish     string
	done, left string
}{
	{
		"a grand being restrung", catalogue.Grand, catalogue.Restore, "black", "polyester",
		"IN-02 IN-03 DS-01 DS-02 ST-01", "ST-02 ST-03 ST-05 BD-04 AC-01 AC-02 RG-01 TU-01 TU-02 CS-12 QC-03",
	},
	{
		"a grand with its strings kept", catalogue.Grand, catalogue.Recondition, "walnut", "shellac",
		"IN-02 IN-03 DS-01 AC-05", "ST-04 AC-01 RG-01 VO-01 TU-03 CS-12 QC-01 QC-03",
	},
	{
		"a grand in its last week, without a line for the strip-down", catalogue.Grand,
		catalogue.Recondition, "black", "polyester", "AC-02 RG-01 TU-01", "TU-03 QC-03",
	},
	{
		"a grand with a new plank and board", catalogue.Grand, catalogue.Restore, "oak", "shellac",
		"DS-01 DS-02 DS-03 BD-02 BD-03 BD-10 BD-12 FR-02 FR-05 BD-13 FR-03 FR-04",
		"FR-06 ST-01 ST-02 ST-03 ST-05 AC-06 AC-04 KY-03 RG-01 RG-02 VO-01 TU-01 TU-02 CS-12",
	},
	{
		"an upright sprayed in a wood's colour", catalogue.Upright, catalogue.Restore, "walnut", "shellac",
		"DS-01 CS-01 CS-01L CS-03 CS-03L CS-05L", "CS-05 CS-06 CS-06L CS-12 AC-01 RG-01 TU-03",
	},
	{
		"an upright with a few things wrong", catalogue.Upright, catalogue.Recondition, "", "",
		"IN-02 KY-02", "DA-03 TU-01",
	},
	{
		"an upright with its plank doped", catalogue.Upright, catalogue.AsFound, "mahogany", "shellac",
		"BD-05", "TU-01",
	},
	{
		"a grand with its case touched up and its hammers to reface", catalogue.Grand,
		catalogue.Recondition, "walnut", "shellac", "DS-01 CS-09", "AC-05 RG-01 CS-12 TU-03",
	},
	{
		"an upright with its case to touch up and its hammers refaced", catalogue.Upright,
		catalogue.Restore, "black", "polyester", "DS-01 AC-05", "CS-09 CS-09L RG-01 CS-12 TU-03",
	},
	{
		"a grand with its kept plank reamed", catalogue.Grand, catalogue.Restore, "black", "polyester",
		"DS-01 DS-02 BD-04", "FR-05 ST-01 ST-02 ST-03 ST-05 CS-10 TU-01",
	},
	{
		"a grand with its pins to dope", catalogue.Grand, catalogue.Recondition, "oak", "shellac",
		"DS-01 ST-04", "BD-05 RG-01 TU-01 TU-03",
	},
}

// joinedJob returns a piano that joined half-done, and its job.
func joinedJob(
	t *testing.T, c *catalogue.Catalogue, kind catalogue.Kind, depth catalogue.Depth,
	done, left string,
) (instrument.Instrument, job.Job) {
	t.Helper()
	in := domaintest.Grand()
	in.Kind = kind
	if kind == catalogue.Upright {
		in.SizeMM = 1280
	}
	p := job.JoiningPiano{Instrument: in, Depth: depth}
	for _, code := range strings.Fields(done) {
		p.Tasks = append(p.Tasks, job.JoiningTask{
			Operation: catalogue.Code(code), Done: domaintest.Dec("3"),
		})
	}
	for _, code := range strings.Fields(left) {
		p.Tasks = append(p.Tasks, job.JoiningTask{
			Operation: catalogue.Code(code), Left: domaintest.Dec("4"),
		})
	}
	for _, x := range p.Tasks {
		if op := c.Operation(x.Operation); op == nil {
			t.Fatalf("%s isn't an operation", x.Operation)
		} else if _, ok := op.Hours[kind]; !ok {
			t.Fatalf("%s isn't done on a %s", x.Operation, kind)
		}
	}
	return in, p.Job(c, job.Progress{RecordedAt: domaintest.JobHour})
}

// badFindings returns what can be wrong at a point: each bad end, and just outside what is
// accepted; a raised flag; each bad answer.
func badFindings(
	t *testing.T, c *catalogue.Catalogue, kind catalogue.Kind, p *catalogue.Point,
) []survey.Finding {
	t.Helper()
	var list []survey.Finding
	number := func(v string) {
		list = append(list, survey.Finding{Point: p.Code, Value: domaintest.Ptr(domaintest.Dec(v))})
	}
	switch l := p.Limits; {
	case p.Type == catalogue.Flag:
		list = append(list, survey.Finding{Point: p.Code, Flag: domaintest.Ptr(true)})
	case p.Type == catalogue.Pick:
		for _, a := range p.Answers {
			list = append(list, survey.Finding{Point: p.Code, Answer: a.Name})
		}
	case l != nil:
		if l.MustLow != nil {
			number(l.MustLow.String())
		}
		if l.MustHigh != nil {
			number(l.MustHigh.String())
		}
		if l.AcceptMin != nil {
			number(l.AcceptMin.Sub(domaintest.Dec("0.01")).String())
		}
		if l.AcceptMax != nil {
			number(l.AcceptMax.Add(domaintest.Dec("0.01")).String())
		}
	}
	var bad []survey.Finding
	for _, f := range list {
		checked, err := survey.CheckFindings(c, kind, []survey.Finding{f})
		if err != nil {
			continue // a half grade, or less than nothing
		}
		js, err := survey.Judge(c, kind, checked)
		if err != nil {
			t.Fatal(err)
		}
		if s := js.Of(p.Code).Severity; s == catalogue.Attention || s == catalogue.MustAct {
			checked[0].ID = uuid.New()
			bad = append(bad, checked[0])
		}
	}
	return bad
}

// TestASurpriseOnAJoinedPianoIsWhatItCallsForBeyondTheWorkInHand tries everything that can be
// found wrong on jobs that no survey called for.
func TestASurpriseOnAJoinedPianoIsWhatItCallsForBeyondTheWorkInHand(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	tried, changing := 0, 0
	for _, x := range halfDone {
		in, j := joinedJob(t, c, x.kind, x.depth, x.done, x.left)
		in.Colour, in.Finish = x.colour, x.finish
		for i := range c.Points {
			p := &c.Points[i]
			if !slices.Contains(p.Kinds, x.kind) {
				continue
			}
			for _, f := range badFindings(t, c, x.kind, p) {
				s := surprise{T: t, c: c, in: in, job: j, found: f}
				s.name = fmt.Sprintf("%s, %s: %s", x.name, p.Code, reading(f))
				tried++
				if s.check() {
					changing++
				}
			}
		}
	}
	t.Logf("%d surprises, %d of which change the job", tried, changing)
	if tried < 400 || changing < tried/4 {
		t.Errorf("%d surprises were tried, %d of which change the job", tried, changing)
	}
}

func reading(f survey.Finding) string {
	switch {
	case f.Value != nil:
		return f.Value.String()
	case f.Answer != "":
		return f.Answer
	default:
		return "yes"
	}
}

// surprise is one finding on a joined job, held against the rows of the catalogue.
type surprise struct {
	*testing.T
	name  string
	c     *catalogue.Catalogue
	in    instrument.Instrument
	job   job.Job
	found survey.Finding

	judged survey.Judgement
	change job.Change
	held   map[catalogue.Code]bool
	has    map[catalogue.Code]bool // held or added
}

func (s *surprise) check() (changes bool) {
	s.Helper()
	js, err := survey.Judge(s.c, s.in.Kind, []survey.Finding{s.found})
	if err != nil {
		s.Fatal(err)
	}
	s.judged = js.Of(s.found.Point)
	s.change, err = job.ChangeOf(s.c, s.in, s.job, nil, job.Grounds{
		After: []survey.Finding{s.found}, New: []uuid.UUID{s.found.ID},
	}, domaintest.Odds)
	if err != nil {
		s.Errorf("%s: refused: %v %v", s.name, err, domaintest.FaultOf(err).Chain)
		return false
	}
	s.held, s.has = map[catalogue.Code]bool{}, map[catalogue.Code]bool{}
	for _, x := range s.job.Tasks {
		s.held[x.Operation], s.has[x.Operation] = true, true
	}
	for _, l := range s.change.Added {
		if s.held[l.Operation] {
			s.Errorf("%s: %s is added, and the job holds it", s.name, l.Operation)
		}
		s.has[l.Operation] = true
	}
	for _, l := range s.change.Removed {
		if !s.givenWay(l.Operation) {
			s.Errorf("%s: %s is gone, though no other option took its place", s.name, l.Operation)
		}
	}
	for _, r := range s.rulesThatHold() {
		for _, k := range r.Calls {
			s.wantCall(k, "rule "+r.ID)
		}
	}
	for _, l := range s.change.Added {
		for _, k := range s.c.CompanionsOf(l.Operation) {
			if k.If == "" && k.Necessity == catalogue.Needed {
				for _, call := range k.Calls {
					s.wantNeeded(call, l.Operation)
				}
			}
		}
		s.wantCause(l.Operation)
	}
	if after, err := s.job.Apply(s.c, s.change); err != nil {
		s.Errorf("%s: can't be carried out: %v", s.name, err)
	} else if again, err := job.ChangeOf(s.c, s.in, after, nil, job.Grounds{
		After: []survey.Finding{s.found}, New: []uuid.UUID{s.found.ID},
	}, domaintest.Odds); err != nil || !again.Empty() {
		s.Errorf("%s: once it is in the job, the same finding adds %v removes %v, %v", s.name,
			again.Added, again.Removed, err)
	}
	return !s.change.Empty()
}

// facts returns what is known: the finding, and the work that the job holds.
func (s *surprise) facts() catalogue.Facts {
	of := func(p catalogue.PointCode) survey.Judgement {
		if p == s.found.Point {
			return s.judged
		}
		return survey.Judgement{}
	}
	return catalogue.Facts{
		Depth: s.job.Depth, Kind: s.in.Kind, Owner: string(s.in.Owner), Finish: s.in.Finish,
		Colour:   s.in.Colour,
		Severity: func(p catalogue.PointCode) catalogue.Severity { return of(p).Severity },
		Answer:   func(p catalogue.PointCode) string { return of(p).Answer },
		Side:     func(p catalogue.PointCode) catalogue.Side { return of(p).Side },
		InScope:  func(code catalogue.Code) bool { return s.held[code] },
		Settled:  func(group string) string { return s.job.Settled[group] },
	}
}

// rulesThatHold returns the rules of the depth that the finding makes hold, of the work that the
// job held and of the work that it has with the change.
func (s *surprise) rulesThatHold() []catalogue.Rule {
	var list []catalogue.Rule
	after := s.facts()
	after.InScope = func(code catalogue.Code) bool { return s.has[code] && !s.givenWay(code) }
	after.Settled = func(group string) string { return s.change.Settled[group] }
	for _, r := range s.c.Rules {
		e := s.c.Expr(r.When)
		if !r.Suggest && slices.Contains(r.Depths, s.job.Depth) && e.Holds(s.facts()) &&
			e.Holds(after) && slices.Contains(e.Evidence(after), s.found.Point) {
			list = append(list, r)
		}
	}
	return list
}

// option returns how thorough an option of a choice is; -1: it is not settled.
func (s *surprise) option(group, name string) int {
	return slices.IndexFunc(s.c.Choice(group).Options, func(o catalogue.Option) bool {
		return o.Name == name
	})
}

// givenWay reports whether a choice that an operation belongs to is settled otherwise now.
func (s *surprise) givenWay(code catalogue.Code) bool {
	return slices.ContainsFunc(s.c.OptionsWith(code), func(r catalogue.OptionRef) bool {
		return s.job.Settled[r.Group] == r.Option && s.change.Settled[r.Group] != r.Option
	})
}

// outdone reports whether a choice is settled more thoroughly than all options with an operation.
func (s *surprise) outdone(code catalogue.Code) bool {
	refs := s.c.OptionsWith(code)
	return len(refs) > 0 && !slices.ContainsFunc(refs, func(r catalogue.OptionRef) bool {
		return s.option(r.Group, s.change.Settled[r.Group]) <= s.option(r.Group, r.Option)
	})
}

// speaksOnlyNow reports whether a rule didn't hold of the work that the job held.
func (s *surprise) speaksOnlyNow(rule string) bool {
	return slices.ContainsFunc(s.c.Rules, func(r catalogue.Rule) bool {
		return r.ID == rule && !s.c.Expr(r.When).Holds(s.facts())
	})
}

func (s *surprise) wantCall(k catalogue.Call, by string) {
	s.Helper()
	if k.Group == "" {
		if _, possible := s.c.Operation(k.Operation).Hours[s.in.Kind]; possible &&
			!s.has[k.Operation] && !s.outdone(k.Operation) {
			s.Errorf("%s: %s calls for %s, which is neither held nor added", s.name, by, k.Operation)
		}
		return
	}
	was, is := s.option(k.Group, s.job.Settled[k.Group]), s.option(k.Group, s.change.Settled[k.Group])
	called := s.option(k.Group, k.Option)
	sprayed := k.Group == "FINISH" && s.job.Settled[k.Group] == "polyester"
	switch {
	case is < called && (was < 0 || s.judged.Severity == catalogue.MustAct && !sprayed):
		s.Errorf("%s: %s calls for %s=%s, settled is %q", s.name, by, k.Group, k.Option,
			s.change.Settled[k.Group])
	case is == was: // as the job settled it
	default:
		for _, code := range s.c.Choice(k.Group).Options[is].Operations {
			s.wantCall(catalogue.Call{Operation: code}, by)
		}
	}
}

func (s *surprise) wantNeeded(k catalogue.Call, by catalogue.Code) {
	s.Helper()
	if k.Group == "" {
		s.wantCall(k, string(by))
		return
	}
	if s.option(k.Group, s.change.Settled[k.Group]) < s.option(k.Group, k.Option) {
		s.Errorf("%s: %s needs %s=%s, settled is %q", s.name, by, k.Group, k.Option,
			s.change.Settled[k.Group])
	}
}

// wantCause follows the first reasons of an added line back to the finding.
func (s *surprise) wantCause(code catalogue.Code) {
	s.Helper()
	caused := map[catalogue.Code]bool{}
	for again := true; again; {
		again = false
		for _, l := range s.change.Added {
			if !caused[l.Operation] && slices.ContainsFunc(l.Reasons, func(r scope.Reason) bool {
				return caused[r.From] || r.From == "" && (slices.Contains(r.Points, s.found.Point) ||
					s.speaksOnlyNow(r.Rule))
			}) {
				caused[l.Operation], again = true, true
			}
		}
	}
	if !caused[code] {
		s.Errorf("%s: %s is added, and nothing found leads to it", s.name, code)
	}
}

// The client didn't want the keys bushed when they rattled. When they run hard too, they are
// proposed again, since both call for it; another finding doesn't bring them back.
func TestWorkThatWasTurnedDownComesBackOnlyWithAFindingThatCallsForItToo(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	sound := domaintest.SoundSurvey(c, catalogue.Grand)
	j := acceptedBy(t, c, sound)
	found := func(point, value string) survey.Finding {
		f := domaintest.Number(point, value, "")
		f.ID = uuid.New()
		return f
	}
	adds := func(before []survey.Finding, f survey.Finding) []catalogue.Code {
		ch, err := job.ChangeOf(c, domaintest.Grand(), j, nil, job.Grounds{
			Before: before, After: append(slices.Clone(before), f), New: []uuid.UUID{f.ID},
		}, domaintest.Odds)
		if err != nil {
			t.Fatal(err)
		}
		var list []catalogue.Code
		for _, l := range ch.Added {
			list = append(list, l.Operation)
		}
		return list
	}
	rattle := found("SV-39", "1.5")
	if got := adds(sound, rattle); !slices.Contains(got, "KY-02") {
		t.Fatalf("keys that rattle add %v, want them bushed", got)
	}
	turnedDown := append(slices.Clone(sound), rattle)
	if got := adds(turnedDown, found("SV-40", "22")); !slices.Contains(got, "KY-02") {
		t.Errorf("keys that run hard add %v, want them bushed after all", got)
	}
	if got := adds(turnedDown, found("SV-49", "20")); slices.Contains(got, "KY-02") {
		t.Errorf("loose pedals add %v, want the keys left as the client has them", got)
	}
}

// Whatever rows the old records have, what is found is never refused over them, adds nothing that
// they have, and is in the job once it was accepted.
func TestNothingFoundIsRefusedOverOldRecords(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	rapid.Check(t, func(rt *rapid.T) {
		kind := rapid.SampledFrom([]catalogue.Kind{catalogue.Grand, catalogue.Upright}).Draw(rt, "kind")
		depth := rapid.SampledFrom(catalogue.Depths).Draw(rt, "depth")
		var done, left []string
		for i := range c.Operations {
			op := &c.Operations[i]
			if _, possible := op.Hours[kind]; !possible ||
				scope.JobOperation(c, scope.Line{Operation: op.Code}) == nil {
				continue
			}
			switch rapid.IntRange(0, 5).Draw(rt, string(op.Code)) {
			case 0:
				done = append(done, string(op.Code))
			case 1:
				left = append(left, string(op.Code))
			default:
			}
		}
		in, j := joinedJob(t, c, kind, depth, strings.Join(done, " "), strings.Join(left, " "))
		if len(j.Tasks) == 0 {
			rt.Skip("no rows")
		}
		g := job.Grounds{}
		for range rapid.IntRange(1, 3).Draw(rt, "findings") {
			p := rapid.SampledFrom(c.Points).Draw(rt, "point")
			if !slices.Contains(p.Kinds, kind) {
				continue
			}
			for _, f := range badFindings(t, c, kind, &p) {
				g.After, g.New = append(g.After, f), append(g.New, f.ID)
				break
			}
		}
		ch, err := job.ChangeOf(c, in, j, nil, g, domaintest.Odds)
		if err != nil {
			rt.Fatalf("refused: %v %v", err, domaintest.FaultOf(err).Chain)
		}
		for _, l := range ch.Added {
			if j.Task(l.Operation) != nil {
				rt.Errorf("%s is added, and the job has it", l.Operation)
			}
		}
		after, err := j.Apply(c, ch)
		if err != nil {
			rt.Fatal(err)
		}
		again, err := job.ChangeOf(c, in, after, nil, g, domaintest.Odds)
		if err != nil || !again.Empty() {
			rt.Errorf("once accepted, it adds %v, removes %v, %v", again.Added, again.Removed, err)
		}
	})
}
