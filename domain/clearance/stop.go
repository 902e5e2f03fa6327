package clearance

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"github.com/google/uuid"
)

// Stop is a row of the table of stops as it stands for an instrument.
type Stop struct {
	catalogue.Stop
	Finding survey.Judgement     `json:"finding"`
	Where   []string             `json:"where,omitempty"` // the places on the piano that were found bad
	Owner   instrument.Ownership `json:"owner"`
	Party   uuid.UUID            `json:"party,omitzero"`
	Country string               `json:"country,omitempty"` // whose law holds; empty: not known
	// Clearance is the one that holds; nil: none does.
	Clearance *Clearance `json:"clearance,omitempty"`
	Lapsed    *Lapsed    `json:"lapsed,omitempty"`
	// Lifting is the later look that lifted it, Disputing one that would have if somebody else had
	// taken it; nil where there is none.
	Lifting   *Look `json:"lifting,omitempty"`
	Disputing *Look `json:"disputing,omitempty"`
	// FoundAt is when what stops it was entered last; zero: on record, or not kept.
	FoundAt time.Time `json:"-"`
	// OnRecord is the covering that is on record of the instrument, where that stops it whatever was
	// found, and AlsoFound is what was found that would stop it too; empty: nothing.
	OnRecord  string `json:"on_record,omitempty"`
	AlsoFound string `json:"also_found,omitempty"`
	// Repaired: the scope at hand holds the work that mends it. Mended: that work is done.
	Repaired bool `json:"repaired,omitempty"`
	Mended   bool `json:"mended,omitempty"`
}

// Lapsed is the last clearance of a stop that none covers any more.
type Lapsed struct {
	Clearance Clearance `json:"clearance"`
	Why       string    `json:"why"`
}

// Record is what decides which stops an instrument has.
type Record struct {
	Catalogue  *catalogue.Catalogue
	Instrument instrument.Instrument
	Surveys    []survey.Survey
	Country    string      // the workshop's, where the instrument isn't said to stand elsewhere
	Clearances []Clearance // in order of recording
	// Today is the day after which no look and no word frees anything, PapersBy the last day of
	// papers that do: the day of an act, which papers that came later don't cover. Zero: any day.
	Today, PapersBy domain.Date
	// CameBack is when an instrument that was sold came back last: papers from before were those of
	// its owner then. Zero: never.
	CameBack time.Time
}

// StopsOf returns what stops an instrument by the shipped table, in its order, and then what the
// workshop's own hard stops add; cleared ones too. The errors are those of survey.Judge.
func StopsOf(r Record) (List, error) {
	shipped, err := catalogue.Shipped()
	if err != nil {
		return nil, err
	}
	table, err := catalogue.Stops()
	if err != nil {
		return nil, err
	}
	surveys := r.known()
	js, err := survey.Judge(r.Catalogue, r.Instrument.Kind, survey.Newest(surveys))
	if err != nil {
		return nil, err
	}
	here := func(code catalogue.PointCode) catalogue.PointCode {
		return r.Catalogue.Counterpart(shipped, code)
	}
	judged := js.ByPoint()
	bare := r.Instrument // of what it is covered with
	bare.Covering = ""
	facts := scope.FactsOf(r.Instrument, "", judged).Translated(here)
	found := scope.FactsOf(bare, "", judged).Translated(here)
	country := cmp.Or(r.Instrument.Country, r.Country)
	var list List
	for _, row := range catalogue.StopsIn(table, country) {
		row.Point = here(row.Point)
		p, e := r.Catalogue.Point(row.Point), r.Catalogue.Expr(row.When)
		if !row.Law && (p == nil || !p.HardStop) {
			continue
		}
		// holds reports whether the row holds with a judgement in place of the newest.
		holds := func(facts catalogue.Facts, j survey.Judgement) bool {
			newest := judged[row.Point]
			judged[row.Point] = j
			defer func() { judged[row.Point] = newest }()
			return e.Holds(facts)
		}
		looks := r.looksAt(surveys, row.Point)
		h := r.historyOf(row, looks, func(j survey.Judgement) bool { return holds(facts, j) })
		if !h.stands() && !e.Holds(facts) {
			continue
		}
		s := r.stop(row, js.Of(row.Point), h, country)
		if unseen := (survey.Judgement{Severity: catalogue.Unknown}); holds(facts, unseen) {
			s.OnRecord = r.Instrument.Covering
			s.AlsoFound = r.historyOf(
				row, looks, func(j survey.Judgement) bool { return holds(found, j) },
			).says()
		}
		list = append(list, s)
	}
	known := map[catalogue.PointCode]bool{}
	for _, row := range table {
		known[here(row.Point)] = true
	}
	for i := range r.Catalogue.Points {
		p := &r.Catalogue.Points[i]
		if !p.HardStop || known[p.Code] {
			continue
		}
		row := ownStop(p)
		h := r.historyOf(row, r.looksAt(surveys, p.Code), func(j survey.Judgement) bool {
			return j.Severity == catalogue.MustAct
		})
		if h.stands() {
			list = append(list, r.stop(row, js.Of(p.Code), h, country))
		}
	}
	return list, nil
}

// PointsBarring returns the points of a catalogue at which the table has stops that bar one of the
// acts.
func PointsBarring(
	c *catalogue.Catalogue, acts ...catalogue.Act,
) ([]catalogue.PointCode, error) {
	shipped, err := catalogue.Shipped()
	if err != nil {
		return nil, err
	}
	table, err := catalogue.Stops()
	var list []catalogue.PointCode
	for _, row := range table {
		if anyOf(row.Acts, acts) {
			list = append(list, c.Counterpart(shipped, row.Point))
		}
	}
	return list, err
}

// known returns the surveys with the findings of points that the catalogue has for this kind of
// piano: an earlier revision may have had others.
func (r Record) known() []survey.Survey {
	list := survey.InOrder(r.Surveys)
	for i := range list {
		list[i].Findings = slices.DeleteFunc(
			slices.Clone(list[i].Findings), func(f survey.Finding) bool {
				p := r.Catalogue.Point(f.Point)
				return p == nil || !slices.Contains(p.Kinds, r.Instrument.Kind)
			},
		)
	}
	return list
}

// mayAnswer are the roles that may clear a hard stop of the workshop's own.
var mayAnswer = []string{string(domain.Owner), string(domain.Manager)}

// ownStop returns the row of a hard stop that a workshop's catalogue has and the table hasn't.
func ownStop(p *catalogue.Point) catalogue.Stop {
	return catalogue.Stop{
		ID: string(p.Code), Point: p.Code, Acts: []catalogue.Act{catalogue.ToBuy, catalogue.ToWork},
		Relief: catalogue.ByWord, Roles: mayAnswer, Looks: mayAnswer,
		Says:  "a hard stop of the workshop's own: " + cmp.Or(p.MustActIs, p.Observe),
		Until: "somebody who answers for it has looked into it", Standing: p.Standing,
	}
}

// stop returns a row as it stands, by the looks that found it or else by the newest judgement, with
// the clearance that covers it, the newest first.
func (r Record) stop(
	row catalogue.Stop, newest survey.Judgement, h history, country string,
) Stop {
	s := Stop{
		Stop: row, Finding: newest, Owner: r.Instrument.Owner, Party: r.Instrument.Party,
		Country: country, Lifting: h.lifting, Disputing: h.disputing,
	}
	p := r.Catalogue.Point(row.Point)
	if len(h.found) > 0 {
		s.Finding, s.FoundAt = h.found[len(h.found)-1].judgement, h.foundAt()
	}
	if p != nil && p.Type != catalogue.Pick {
		found := h.findings()
		s.Where = survey.BadPlaces(p, found)
		if j, err := r.judge(found); err == nil && len(found) > 0 {
			s.Finding = j.Of(row.Point)
		}
	}
	withdrawn := map[uuid.UUID]bool{}
	for _, c := range slices.Backward(r.Clearances) {
		switch {
		case c.Stop != row.ID || withdrawn[c.ID] || after(c.On, r.Today):
			continue
		case c.Withdraws != uuid.Nil:
			withdrawn[c.Withdraws] = true
			continue
		}
		why := c.lapse(s, p)
		if why == "" && row.Relief == catalogue.ByPapers && after(c.Dated, r.PapersBy) {
			why = fmt.Sprintf("its papers are of %s, and %s comes before them", c.Dated, r.PapersBy)
		}
		if why == "" && row.Relief == catalogue.ByPapers && c.RecordedAt.Before(r.CameBack) {
			why = "it was sold and came back since, and has a new owner again"
		}
		if why == "" {
			s.Clearance, s.Lapsed = &c, nil
			break
		}
		if s.Lapsed == nil {
			s.Lapsed = &Lapsed{c, why}
		}
	}
	return s
}

// after reports whether a day comes after a last one; none does where there is no last one.
func after(day, last domain.Date) bool { return !last.IsZero() && last.DaysUntil(day) > 0 }
