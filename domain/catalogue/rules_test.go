package catalogue_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain/catalogue"
)

// scene is what is known when rules are held against it: findings that are not named are sound;
// "SV-11": "must_act low" gives a side too, "SV-42": "=ivory" an answer. In is what stands in the
// scope already.
type scene struct {
	depth    catalogue.Depth
	findings map[catalogue.PointCode]string
	in       []string // operations, and options as GROUP=option
	facts    catalogue.Facts
}

func (s scene) held() catalogue.Facts {
	f := s.facts
	f.Depth = s.depth
	if f.Kind == "" {
		f.Kind = catalogue.Grand
	}
	if f.Owner == "" {
		f.Owner = "offered"
	}
	f.Severity = func(p catalogue.PointCode) catalogue.Severity {
		word, _, _ := strings.Cut(s.findings[p], " ")
		if word == "" || word[0] == '=' {
			return catalogue.Sound
		}
		return catalogue.Severity(word)
	}
	f.Side = func(p catalogue.PointCode) catalogue.Side {
		_, side, _ := strings.Cut(s.findings[p], " ")
		return catalogue.Side(side)
	}
	f.Answer = func(p catalogue.PointCode) string {
		answer, _ := strings.CutPrefix(s.findings[p], "=")
		return answer
	}
	f.InScope = func(c catalogue.Code) bool { return slices.Contains(s.in, string(c)) }
	f.Settled = func(group string) string {
		for _, x := range s.in {
			if g, option, ok := strings.Cut(x, "="); ok && g == group {
				return option
			}
		}
		return ""
	}
	return f
}

// called returns the calls of the rules that hold, and suggested those that are only said; each as
// "rule>call".
func (s scene) called(c *catalogue.Catalogue) (called, suggested []string) {
	f := s.held()
	for _, r := range c.Rules {
		if !slices.Contains(r.Depths, s.depth) || !c.Expr(r.When).Holds(f) {
			continue
		}
		list := &called
		if r.Suggest {
			list = &suggested
			*list = append(*list, r.ID+">")
		}
		for _, k := range r.Calls {
			what := string(k.Operation)
			if k.Group != "" {
				what = k.Group + "=" + k.Option
			}
			*list = append(*list, r.ID+">"+what)
		}
	}
	return called, suggested
}

type findings = map[catalogue.PointCode]string

// What a rebuilder said of the rules, row by row (common practice, no source). Want and suggest are
// "rule>call" entries that must be there; never are calls that no rule may make.
func TestTheReviewOfTheRulesRowByRow(t *testing.T) {
	t.Parallel()
	const c, r = catalogue.Recondition, catalogue.Restore
	rows := []struct {
		name    string
		scene   scene
		want    []string
		suggest []string
		never   []string
	}{
		{
			"SV-03 out of range alone: regulation, no hammers",
			scene{depth: r, findings: findings{"SV-03": "must_act high"}},
			[]string{"blow-regulate>RG-01"},
			nil,
			[]string{"HAMMER=replace", "HAMMER=reface", "AC-06"},
		},
		{
			"SV-04 out of range alone: regulation, no hammers",
			scene{
				depth: c, findings: findings{"SV-04": "must_act high"},
				facts: catalogue.Facts{Kind: catalogue.Upright},
			},
			[]string{"blow-regulate>RG-01"},
			nil,
			[]string{"HAMMER=replace", "HAMMER=reface", "AC-06"},
		},
		{
			"SV-03 out of range with worn felt: hammers",
			scene{
				depth: c, findings: findings{"SV-03": "must_act high", "SV-33": "attention high"},
			},
			[]string{"blow-regulate>RG-01", "blow-and-felt>HAMMER=replace"},
			nil, nil,
		},
		{
			"SV-03 out of range with loose centres and worn rollers: hammers",
			scene{
				depth: c,
				findings: findings{
					"SV-03": "must_act high", "SV-36": "attention high", "SV-38": "attention high",
				},
			},
			[]string{"blow-and-centres>HAMMER=replace"},
			nil, nil,
		},
		{
			"SV-03 out of range with loose centres alone: no hammers",
			scene{
				depth: c, findings: findings{"SV-03": "must_act high", "SV-36": "attention high"},
			},
			[]string{"blow-regulate>RG-01", "centres-loose>AC-02"},
			nil,
			[]string{"HAMMER=replace"},
		},
		{
			"SV-11 ageing, strings stay on: nothing, or the stop-gap if the buyer wants it",
			scene{
				depth: c, findings: findings{"SV-11": "attention low"},
				in: []string{"STRING=in_place"},
			},
			nil,
			[]string{"pins-ageing>PLANK=stopgap"},
			[]string{"PLANK=stopgap", "PLANK=keep_oversize", "PLANK=replace", "BD-04", "BD-05"},
		},
		{
			"SV-12 loose pins, strings stay on: the stop-gap and not larger pins",
			scene{
				depth: c, findings: findings{"SV-11": "attention low", "SV-12": "attention high"},
				in: []string{"STRING=in_place"},
			},
			[]string{"pins-treat>PLANK=stopgap"},
			nil,
			[]string{"PLANK=keep_oversize", "BD-04"},
		},
		{
			"SV-11 ageing with a restring in scope: larger pins and not the stop-gap",
			scene{
				depth: r, findings: findings{"SV-11": "attention low", "SV-12": "attention high"},
				in: []string{"STRING=restring"},
			},
			[]string{"pins-one-size-up>PLANK=keep_oversize"},
			nil,
			[]string{"PLANK=stopgap", "BD-05"},
		},
		{
			"SV-11 pins that will not hold, restoring: a plank",
			scene{depth: r, findings: findings{"SV-11": "must_act low"}},
			[]string{"plank-slack>PLANK=replace"},
			nil, nil,
		},
		{
			"SV-11 too tight is not slack: no plank, no stop-gap",
			scene{depth: r, findings: findings{"SV-11": "must_act high"}},
			nil,
			[]string{"pins-tight>"},
			[]string{"PLANK=replace", "PLANK=stopgap"},
		},
		{
			"SV-13 big pins, strings stay on: no plank",
			scene{
				depth: r, findings: findings{"SV-13": "must_act high"},
				in: []string{"STRING=in_place"},
			},
			nil,
			[]string{"pins-no-size-told>"},
			[]string{"PLANK=replace", "PLANK=keep_oversize", "PLANK=stopgap"},
		},
		{
			"SV-13 big pins with a restring in scope: the plank is forced",
			scene{
				depth: c, findings: findings{"SV-13": "must_act high"},
				in: []string{"STRING=restring"},
			},
			[]string{"pins-no-size-left>PLANK=replace"},
			nil, nil,
		},
		{
			"SV-20 age alone takes no string off, even when restoring",
			scene{depth: r, findings: findings{"SV-20": "must_act high"}},
			nil,
			[]string{"age-alone>STRING=restring"},
			[]string{"STRING=restring", "STRING=bass_set", "ST-02", "ST-03"},
		},
		{
			"SV-20 age with rust decides when restoring",
			scene{
				depth: r, findings: findings{"SV-20": "attention high", "SV-16": "attention high"},
			},
			[]string{"restring-age>STRING=restring"},
			nil, nil,
		},
		{
			"SV-20 age with false beats decides when restoring",
			scene{
				depth: r, findings: findings{"SV-20": "attention high", "SV-18": "attention high"},
			},
			[]string{"restring-age>STRING=restring"},
			nil, nil,
		},
		{
			"SV-20 age with a dead bass decides when restoring",
			scene{
				depth: r, findings: findings{"SV-20": "attention high", "SV-19": "attention high"},
			},
			[]string{"restring-age>STRING=restring"},
			nil, nil,
		},
		{
			"SV-20 age with rust, reconditioning: strings stay",
			scene{depth: c, findings: findings{"SV-20": "must_act high", "SV-16": "must_act high"}},
			[]string{"strings-seat>STRING=in_place"},
			[]string{"restring-told>STRING=restring"},
			[]string{"STRING=restring"},
		},
		{
			"SV-23 no bearing but it sings: no recapping",
			scene{depth: r, findings: findings{"SV-23": "must_act low"}},
			nil,
			[]string{"bearing-alone>"},
			[]string{"BRIDGE=recap", "BD-12"},
		},
		{
			"SV-23 no bearing, short ring, good hammers: recapping",
			scene{depth: r, findings: findings{"SV-23": "must_act low", "SV-24": "attention low"}},
			[]string{"bridge-bearing>BRIDGE=recap"},
			nil, nil,
		},
		{
			"SV-23 no bearing, short ring, worn hammers: hammers first",
			scene{
				depth: r,
				findings: findings{
					"SV-23": "must_act low", "SV-24": "attention low", "SV-34": "attention high",
				},
			},
			[]string{"hammers-restore>HAMMER=replace"},
			[]string{"hammers-before-board>"},
			[]string{"BRIDGE=recap"},
		},
		{
			"SV-24 short ring with worn hammers: no board",
			scene{depth: r, findings: findings{"SV-24": "must_act low", "SV-32": "must_act low"}},
			[]string{"hammers-restore>HAMMER=replace"},
			[]string{"hammers-before-board>"},
			[]string{"BOARD=new_board", "BD-10"},
		},
		{
			"SV-24 short ring with hammers nobody looked at: no board",
			scene{depth: r, findings: findings{"SV-24": "must_act low", "SV-32": "unknown"}},
			nil,
			[]string{"hammers-before-board>"},
			[]string{"BOARD=new_board", "BD-10"},
		},
		{
			"SV-24 dead with good hammers: the board",
			scene{depth: r, findings: findings{"SV-24": "must_act low"}},
			[]string{"board-dead>BOARD=new_board"},
			nil, nil,
		},
		{
			"SV-65 earlier rebuild: information only",
			scene{depth: r, findings: findings{"SV-65": "attention"}},
			nil,
			[]string{"earlier-rebuild>"},
			[]string{"PLANK=replace", "BRIDGE=recap", "BD-02", "BD-12"},
		},
		{
			"SV-16 rust, reconditioning: cleaned, seated, levelled",
			scene{depth: c, findings: findings{"SV-16": "must_act high"}},
			[]string{"strings-seat>STRING=in_place"},
			[]string{"restring-told>STRING=restring"},
			[]string{"STRING=restring"},
		},
		{
			"SV-17 odd strings, reconditioning: replaced in place",
			scene{depth: c, findings: findings{"SV-17": "must_act high"}},
			[]string{"strings-seat>STRING=in_place"},
			nil,
			[]string{"STRING=restring"},
		},
		{
			"SV-18 false beats, reconditioning: seated and levelled",
			scene{depth: c, findings: findings{"SV-18": "must_act high"}},
			[]string{"strings-seat>STRING=in_place"},
			nil,
			[]string{"STRING=restring", "BRIDGE=repair"},
		},
		{
			"SV-19 dead bass, reconditioning: a bass set alone",
			scene{depth: c, findings: findings{"SV-19": "must_act high"}},
			[]string{"bass-spent>STRING=bass_set"},
			nil,
			[]string{"STRING=restring"},
		},
		{
			"case worn through on black stock, reconditioning: resprayed",
			scene{
				depth: c, findings: findings{"SV-50": "must_act high"},
				facts: catalogue.Facts{Owner: "stock", Colour: "black", Finish: "shellac"},
			},
			[]string{"case-black>FINISH=polyester"},
			nil,
			[]string{"FRAMEFIN=regild", "STRING=restring", "FINISH=shellac"},
		},
		{
			"beside the resprayed case: frame and strings suggested, not forced",
			scene{
				depth: c, findings: findings{"SV-50": "must_act high"},
				in:    []string{"FINISH=polyester", "STRING=in_place"},
				facts: catalogue.Facts{Owner: "stock", Colour: "black"},
			},
			nil,
			[]string{"inside-beside-case>FRAMEFIN=regild", "inside-beside-case>STRING=restring"},
			[]string{"FRAMEFIN=regild", "STRING=restring"},
		},
		{
			"case scratched on black stock, reconditioning: touched up only",
			scene{
				depth: c, findings: findings{"SV-50": "attention high"},
				facts: catalogue.Facts{Owner: "stock", Colour: "black"},
			},
			[]string{"bench-base>FINISH=touchup"},
			nil,
			[]string{"FINISH=polyester", "FINISH=shellac"},
		},
		{
			"a client's black shellac is polished again",
			scene{
				depth: r, findings: findings{"SV-50": "attention high"},
				facts: catalogue.Facts{Owner: "client", Colour: "black", Finish: "shellac"},
			},
			[]string{"case-black-shellac>FINISH=shellac"},
			nil,
			[]string{"FINISH=polyester"},
		},
	}
	cat := shipped(t)
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			t.Parallel()
			called, suggested := row.scene.called(cat)
			for _, w := range row.want {
				if !slices.Contains(called, w) {
					t.Errorf("no call %s; called %v", w, called)
				}
			}
			for _, w := range row.suggest {
				if !slices.Contains(suggested, w) {
					t.Errorf("no suggestion %s; suggested %v", w, suggested)
				}
			}
			for _, x := range called {
				if _, call, _ := strings.Cut(x, ">"); slices.Contains(row.never, call) {
					t.Errorf("%s is called for", x)
				}
			}
		})
	}
}

// Refusals of the exclusive choices (common practice, no source).
func TestOptionsAreRefusedWhereTheTradeOrTheLawRefusesThem(t *testing.T) {
	t.Parallel()
	rows := []struct {
		name, option string
		scene        scene
		refused      bool
	}{
		{
			"larger pins where none is left and new strings go on", "PLANK=keep_oversize",
			scene{findings: findings{"SV-13": "must_act high"}, in: []string{"STRING=restring"}},
			true,
		},
		{
			"larger pins where none is left, strings kept", "PLANK=keep_oversize",
			scene{findings: findings{"SV-13": "must_act high"}},
			false,
		},
		{
			"larger pins where the old ones are very thin", "PLANK=keep_oversize",
			scene{findings: findings{"SV-13": "must_act low"}, in: []string{"STRING=restring"}},
			false,
		},
		{
			"larger pins in a cracked plank", "PLANK=keep_oversize",
			scene{findings: findings{"SV-15": "must_act high"}, in: []string{"STRING=restring"}},
			true,
		},
		{
			"the stop-gap under new strings", "PLANK=stopgap",
			scene{in: []string{"STRING=restring"}},
			true,
		},
		{
			"the stop-gap with strings kept", "PLANK=stopgap",
			scene{in: []string{"STRING=in_place"}},
			false,
		},
		{
			"ivory of 1975, to be sold", "NATURALS=ivory",
			scene{facts: catalogue.Facts{Year: 1975, Owner: "stock"}},
			true,
		},
		{
			"ivory of 1975, offered", "NATURALS=ivory",
			scene{facts: catalogue.Facts{Year: 1975, Owner: "offered"}},
			true,
		},
		{
			"ivory of 1975, a client's", "NATURALS=ivory",
			scene{facts: catalogue.Facts{Year: 1975, Owner: "client"}},
			false,
		},
		{
			"ivory of 1974", "NATURALS=ivory",
			scene{facts: catalogue.Facts{Year: 1974, Owner: "stock"}},
			false,
		},
		{
			"ivory without a date, to be sold", "NATURALS=ivory",
			scene{facts: catalogue.Facts{Owner: "stock"}},
			true,
		},
		{
			"ivory without a date, a client's", "NATURALS=ivory",
			scene{facts: catalogue.Facts{Owner: "client"}},
			false,
		},
		{
			"refacing hammers without felt", "HAMMER=reface",
			scene{findings: findings{"SV-32": "must_act low"}},
			true,
		},
		{
			"refacing grooved hammers", "HAMMER=reface",
			scene{findings: findings{"SV-34": "must_act high"}},
			false,
		},
		{
			"touching up a case worn to the wood", "FINISH=touchup",
			scene{findings: findings{"SV-50": "must_act high"}},
			true,
		},
		{
			"strings left on with the frame out", "STRING=in_place",
			scene{in: []string{"DS-03"}},
			true,
		},
		{
			"touching in a frame that is out", "FRAMEFIN=touch_in",
			scene{in: []string{"DS-03"}},
			true,
		},
		{
			"converting an upright", "WHIPPEN=convert",
			scene{facts: catalogue.Facts{Kind: catalogue.Upright}},
			true,
		},
	}
	c := shipped(t)
	for _, row := range rows {
		group, name, _ := strings.Cut(row.option, "=")
		i := slices.IndexFunc(
			c.Choice(group).Options, func(o catalogue.Option) bool { return o.Name == name },
		)
		o := c.Choice(group).Options[i]
		if got := o.Refused != "" && c.Expr(o.Refused).Holds(row.scene.held()); got != row.refused {
			t.Errorf("%s: refused %v, want %v", row.name, got, row.refused)
		}
	}
}

// Points from which no work follows, and why.
var pointsWithoutWork = map[catalogue.PointCode]string{
	"SV-01": "the number of keys scales the quantities",
	"SV-60": "evidence of date is what clears the ivory gate",
}

func TestEveryPointLeadsSomewhere(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	asked, unknown := map[catalogue.PointCode]bool{}, map[catalogue.PointCode]bool{}
	for _, r := range c.Rules {
		for _, p := range c.Expr(r.When).Points() {
			asked[p] = true
			if strings.Contains(string(r.When), string(p)+":unknown") {
				unknown[p] = true
			}
		}
	}
	// Points whose work at the level of attention belongs to the depth anyway, or is only said.
	known := strings.Fields(
		"SV-02 SV-03 SV-04 SV-05 SV-06 SV-07 SV-08 SV-14 SV-20 SV-25 SV-48 SV-51 SV-62 SV-64 SV-65",
	)
	for _, p := range c.Points {
		if pointsWithoutWork[p.Code] != "" {
			if asked[p.Code] {
				t.Errorf("%s is said to lead nowhere, yet a rule asks for it", p.Code)
			}
			continue
		}
		if !asked[p.Code] {
			t.Errorf("no rule asks for %s (%s)", p.Code, p.Observe)
		}
		if unknown[p.Code] == slices.Contains(known, string(p.Code)) {
			t.Errorf(
				"%s (%s): a rule says what follows where nobody looked at it: %v", p.Code,
				p.Observe, unknown[p.Code],
			)
		}
	}
}

func TestEveryDepthHasItsBase(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	sound := findings{}
	calls := func(d catalogue.Depth) []string {
		called, _ := scene{depth: d, findings: sound}.called(c)
		var list []string
		for _, x := range called {
			_, call, _ := strings.Cut(x, ">")
			list = append(list, call)
		}
		return list
	}
	asFound := []string{"IN-01", "IN-02", "IN-03", "TU-01", "QC-01", "QC-03", "DL-01", "DL-02"}
	if got := calls(catalogue.AsFound); !slices.Equal(got, asFound) {
		t.Errorf("as found: got %v, want %v (dossier, package AS_IS_G)", got, asFound)
	}
	recondition := slices.Concat(
		asFound, []string{"DS-01", "KY-01", "RG-01", "TU-03", "STRING=in_place", "FINISH=touchup"},
	)
	if got := calls(catalogue.Recondition); !slices.Equal(got, recondition) {
		t.Errorf("recondition: got %v, want %v", got, recondition)
	}
	restore := slices.Concat(
		recondition,
		[]string{
			"AC-01", "DA-02", "RG-02", "VO-01", "QC-02", "SETTLING=one_pass", "HARDWARE=polish",
		},
	)
	if got := calls(catalogue.Restore); !slices.Equal(got, restore) {
		t.Errorf("restore: got %v, want %v", got, restore)
	}
}

func TestIvoryOf1975IsRecoveredBeforeItIsDealtIn(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	for _, row := range []struct {
		name string
		s    scene
		want bool
	}{
		{
			"stock of 1979 (dossier check value CV-39)",
			scene{facts: catalogue.Facts{Owner: "stock", Year: 1979}},
			true,
		},
		{
			"stock of 1974 (dossier check value CV-40)",
			scene{facts: catalogue.Facts{Owner: "stock", Year: 1974}},
			false,
		},
		{
			"a client's of 1979, who keeps it",
			scene{facts: catalogue.Facts{Owner: "client", Year: 1979}},
			false,
		},
	} {
		for _, d := range catalogue.Depths {
			row.s.depth, row.s.findings = d, findings{"SV-42": "=ivory"}
			called, suggested := row.s.called(c)
			if got := slices.Contains(called, "ivory-too-late>NATURALS=recover"); got != row.want {
				t.Errorf("%s at %s: recovered %v, want %v", row.name, d, got, row.want)
			}
			if !slices.Contains(suggested, "ivory-papers>") {
				t.Errorf("%s at %s: papers are not asked for", row.name, d)
			}
		}
	}
}
