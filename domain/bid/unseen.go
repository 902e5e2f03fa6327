package bid

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/scope"
	"bentside/pricing/money"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
)

// IfBad is what follows where a point that nobody looked at proves as bad as can be.
type IfBad string

// ByRepair: the scope brings the work then, and the estimate counts it. AsDonor: the instrument
// isn't worth working on and goes as a donor of parts. ByLaw: the law says what may still be done
// with it, which no price counts.
const (
	ByRepair IfBad = "repair"
	AsDonor  IfBad = "donor"
	ByLaw    IfBad = "law"
)

// Unseen is a point that can stop a purchase and that nobody has looked at.
type Unseen struct {
	Point catalogue.PointCode `json:"point"`
	Text  string              `json:"says"`
	IfBad IfBad               `json:"if_bad"`
	// Odds are the probability that it proves so; nil where the law decides.
	Odds *decimal.Decimal `json:"odds,omitempty"`
	// AimIfSound is the price to aim for once it is found sound; nil where there is none, and where
	// the law decides.
	AimIfSound *money.Amount `json:"aim_if_sound,omitempty"`
	// TakenOnBy is who answers for buying without a look.
	TakenOnBy string `json:"taken_on_by,omitempty"`
}

// TakenOn is the word of a named person to buy without a look at a point, and why.
type TakenOn struct {
	Point catalogue.PointCode `json:"point"`
	By    string              `json:"by"`
	Why   string              `json:"why"`
}

// unseen returns the points of a way that can stop a purchase and that nobody has looked at, in the
// order of the catalogue.
func (d *depthScopes) unseen(s scope.Scope) ([]Unseen, error) {
	table, err := catalogue.UnseenStops()
	if err != nil {
		return nil, err
	}
	stops, err := catalogue.Stops()
	if err != nil {
		return nil, err
	}
	unknown := d.in.Workshop.Terms.PointOdds()
	var list []Unseen
	for i := range d.c.Points {
		p := &d.c.Points[i]
		if !p.HardStop || d.lookedAt(p) {
			continue
		}
		x := Unseen{Point: p.Code, Text: "nobody has looked at: " + p.Observe, IfBad: AsDonor}
		if k := slices.IndexFunc(table, func(u catalogue.Unseen) bool {
			return u.Point == p.Code
		}); k >= 0 {
			x.Text = table[k].Says
			if table[k].Law {
				x.IfBad = ByLaw
			}
		}
		if x.IfBad != ByLaw {
			chance := unknown.Of(p.Code).MustAct
			x.Odds = &chance
			if repairs(s, p.Code) || mends(stops, p.Code, s) {
				x.IfBad = ByRepair
			}
		}
		if k := slices.IndexFunc(d.in.Asked.TakenOn, func(t TakenOn) bool {
			return t.Point == p.Code
		}); k >= 0 && x.IfBad != ByLaw {
			x.TakenOnBy = d.in.Asked.TakenOn[k].By
		}
		list = append(list, x)
	}
	return list, nil
}

// stoppedAt reports whether something found at a point stops the instrument.
func (in Inputs) stoppedAt(p catalogue.PointCode) bool {
	return slices.ContainsFunc(in.Stops, func(s clearance.Stop) bool { return s.Point == p })
}

// OnRecord reports whether the record of the instrument says what a look at a point would: what the
// keys are covered with, or what stops it there.
func (in Inputs) OnRecord(c *catalogue.Catalogue, p catalogue.PointCode) bool {
	return p == c.PointMarked(catalogue.CoveringMark) && in.Instrument.Covering != "" ||
		in.stoppedAt(p)
}

// lookedAt reports whether somebody has looked at a point, or the record says what a look would.
func (d *depthScopes) lookedAt(p *catalogue.Point) bool {
	return d.js.Of(p.Code).Severity != catalogue.Unknown || d.in.OnRecord(d.c, p.Code)
}

// repairs reports whether a scope brings work for a point that must be acted on.
func repairs(s scope.Scope, p catalogue.PointCode) bool {
	return slices.ContainsFunc(s.Doubts, func(x scope.Doubt) bool {
		return x.Point == p && slices.ContainsFunc(x.Outcomes, func(o scope.Outcome) bool {
			return o.Severity == catalogue.MustAct && len(o.Adds) > 0
		})
	})
}

// mends reports whether a scope holds the work that would mend a point anyway, for another reason.
func mends(stops []catalogue.Stop, p catalogue.PointCode, s scope.Scope) bool {
	return slices.ContainsFunc(stops, func(x catalogue.Stop) bool {
		return x.Point == p && clearance.RepairPlanned(x, s)
	})
}

// namedUnseen is how many points a condition names; those of the law are named even if they are
// more.
const namedUnseen = 3

// unlooked says what still has to be looked at before a price is named, points of the law first,
// and lists the codes of all that is open; none where nothing is.
func unlooked(list []Unseen) (says string, points []string) {
	var law, rest []string
	for _, x := range list {
		if x.TakenOnBy != "" {
			continue
		}
		points = append(points, string(x.Point))
		if text := strings.TrimPrefix(x.Text, "nobody has "); x.IfBad == ByLaw {
			law = append(law, text)
		} else {
			rest = append(rest, text)
		}
	}
	named := slices.Concat(law, rest)
	if len(named) == 0 {
		return "", nil
	}
	more := ""
	if n := max(len(law), namedUnseen); len(named) > n {
		more = fmt.Sprintf(", and %d more", len(named)-n)
		named = named[:n]
	}
	return "nobody has " + strings.Join(named, ", nor ") + more, points
}

// Repair is work that mends what would stop the purchase, and that may not hold. The instrument
// then goes as a donor of parts.
type Repair struct {
	Point catalogue.PointCode `json:"point"`
	Text  string              `json:"says"`
	Fails decimal.Decimal     `json:"fails"` // a probability
}

// repairsOf returns what the work of a way mends and what may not hold, where nobody answers for
// its being sound as it is.
func repairsOf(stops clearance.List) ([]Repair, error) {
	table, err := catalogue.UnseenStops()
	if err != nil {
		return nil, err
	}
	var list []Repair
	for _, s := range stops {
		k := slices.IndexFunc(table, func(u catalogue.Unseen) bool { return u.Point == s.Point })
		sound := s.Clearance != nil || s.Lifting != nil
		if k < 0 || !s.Repaired || sound || !table[k].RepairFails.IsPositive() {
			continue
		}
		list = append(list, Repair{Point: s.Point, Text: s.Says, Fails: table[k].RepairFails})
	}
	return list, nil
}

// RepairFails returns the probability that the work which mends a point doesn't hold.
func RepairFails(p catalogue.PointCode) decimal.Decimal {
	table, err := catalogue.UnseenStops()
	if err != nil {
		return decimal.Zero // a broken build; Compute reports it
	}
	for _, u := range table {
		if u.Point == p {
			return u.RepairFails
		}
	}
	return decimal.Zero
}

// given returns what the work of a way is looked at under: that the instrument doesn't prove a
// donor, and that a point is sound; empty: none.
func (in Inputs) given(r WayResult, sound catalogue.PointCode) scope.Given {
	g := scope.Given{Sound: sound}
	var chances []float64
	for _, x := range r.Unseen {
		if x.IfBad == AsDonor && x.Odds.IsPositive() && x.Point != sound {
			g.Donors = append(g.Donors, x.Point)
			chances = append(chances, x.Odds.InexactFloat64())
		}
	}
	for _, x := range r.Repairs {
		chances = append(chances, x.Fails.InexactFloat64())
	}
	if len(chances) > 0 {
		loading := odds.Loading(in.Workshop.Terms.Uncertainty.PointsWithWear)
		g.Unfit = odds.Otherwise(chances, loading)
	}
	return g
}

// checkTakenOn returns an Invalid Fault where a point is taken on that isn't for anybody to take
// on: it can't stop the purchase, somebody has looked at it, or the law decides it.
func (d *depthScopes) checkTakenOn() error {
	table, err := catalogue.UnseenStops()
	if err != nil {
		return err
	}
	var f domain.Faults
	for i, t := range d.in.Asked.TakenOn {
		at := fmt.Sprintf("#/taken_on/%d/point", i)
		byLaw := slices.ContainsFunc(
			table, func(u catalogue.Unseen) bool { return u.Point == t.Point && u.Law },
		)
		switch p := d.c.Point(t.Point); {
		case p == nil || !p.HardStop || !slices.Contains(p.Kinds, d.in.Instrument.Kind):
			f.Add(at, "must be a point that can stop the purchase, not %q", t.Point)
		case byLaw:
			f.Add(at, "%s (%s) is the law's to decide and can't be taken on; have it looked at",
				p.Code, p.Observe)
		case d.lookedAt(p):
			f.Add(at, "%s (%s) has been looked at, so there is nothing to take on; leave it out",
				p.Code, p.Observe)
		}
	}
	return f.Err()
}

// checkTakenOn notes a fault unless each is taken on by somebody, for a reason.
func (q Question) checkTakenOn(f *moneyFaults) {
	for i, t := range q.TakenOn {
		if t.By == "" || utf8.RuneCountInString(t.By) > domain.MaxName ||
			t.Why == "" || utf8.RuneCountInString(t.Why) > domain.MaxText {
			f.Add("#/taken_on/"+decimal.NewFromInt(int64(i)).String(),
				"must name who answers for buying without a look, and why")
		}
	}
}
