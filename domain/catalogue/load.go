package catalogue

import (
	"embed"
	"errors"
	"io/fs"
	"strings"
	"sync"
)

//go:embed data/*.csv
var data embed.FS

// Shipped returns the catalogue that every workshop starts from, parsed once and shared. Each
// operation carries the hash of its own row, which tells later defaults from a workshop's changes.
// The error is Flaws and comes from a broken build only.
func Shipped() (*Catalogue, error) { return shipped() }

var shipped = sync.OnceValues(func() (*Catalogue, error) {
	folder, err := fs.Sub(data, "data")
	if err != nil {
		return nil, err
	}
	c, err := Load(folder)
	if err != nil {
		return nil, err
	}
	list, err := Sources()
	if err != nil {
		return nil, err
	}
	if err := c.checkCited(list); err != nil {
		return nil, err
	}
	for i := range c.Operations {
		c.Operations[i].Shipped = c.Operations[i].hash()
	}
	return c, nil
})

// Load reads a catalogue from a folder of CSV files, one per table. It returns Flaws with all
// faults, each with file, line and column.
func Load(folder fs.FS) (*Catalogue, error) {
	return load(func(name string) ([]byte, error) { return fs.ReadFile(folder, name) })
}

// LoadFiles reads a catalogue from data files as Files writes them; see Load.
func LoadFiles(files []File) (*Catalogue, error) {
	return load(func(name string) ([]byte, error) {
		for _, f := range files {
			if f.Name == name {
				return f.Body, nil
			}
		}
		return nil, errors.New("the file is missing")
	})
}

func load(read func(name string) ([]byte, error)) (*Catalogue, error) {
	c := &Catalogue{}
	s := &sheets{read, &checking{Catalogue: c, lines: map[rowPosition]int{}}}
	for _, r := range s.rows(currencyTable, currencyColumns...) {
		c.Currency = r.text("code")
		r.standsAt(rowPosition{currencyTable, 0})
	}
	s.operations()
	s.leads()
	s.buying()
	s.links()
	s.choices()
	s.materials()
	s.companions()
	s.points()
	s.rules()
	if len(s.flaws) > 0 {
		return nil, s.flaws
	}
	if err := s.check(); err != nil {
		return nil, err
	}
	c.index = newIndex(c)
	return c, nil
}

func (s *sheets) operations() {
	for i, r := range s.rows(operationsTable, operationsColumns...) {
		r.standsAt(rowPosition{operationsTable, i})
		s.Operations = append(s.Operations, Operation{
			Code: Code(r.text("code")), Name: r.text("name"), Phase: r.text("phase"),
			Skill: r.text("skill"), Station: r.text("station"),
			Subassembly: r.text("subassembly"), Group: WorkGroup(r.text("group")),
			Driver: r.text("driver"), Hours: r.hours(), Crew: r.whole("crew"),
			Tail: r.three("tail_hours"), TailNote: r.text("tail_note"), Sessions: r.sessions(),
			Making: Making(r.text("making")), Emits: r.text("emits"), Needs: r.text("needs"),
			Hazards: r.list("hazards"), ForSale: r.yes("for_sale"), Marks: r.marks(),
			Standing: Standing(r.text("standing")), Note: r.text("note"),
		})
	}
}

// hours reads the hours for each kind of piano; a kind without a setup figure can't have the
// operation.
func (r row) hours() map[Kind]Hours {
	hours := map[Kind]Hours{}
	for _, kind := range []Kind{Grand, Upright} {
		k := string(kind)
		if r.text(k+"_setup") != "" {
			hours[kind] = Hours{
				Baseline: r.number(k + "_quantity"),
				Setup:    r.number(k + "_setup"), Rate: r.number(k + "_rate"),
				Low: r.number(k + "_low"), High: r.number(k + "_high"),
			}
		}
	}
	return hours
}

// sessions reads a number of sittings, or "per unit".
func (r row) sessions() *Sessions {
	switch s := r.text("sittings"); s {
	case "":
		return nil
	case perUnit:
		return &Sessions{PerUnit: true, GapHours: r.number("gap_hours")}
	default:
		return &Sessions{Count: r.whole("sittings"), GapHours: r.number("gap_hours")}
	}
}

// operationOf returns the position of the operation that a row of another file belongs to; if there
// is none, it reports that and returns -1.
func (s *sheets) operationOf(r row) int {
	for i := range s.Operations {
		if string(s.Operations[i].Code) == r.text("operation") {
			return i
		}
	}
	r.wrong("operation", "unknown operation %q", r.text("operation"))
	return -1
}

func (s *sheets) leads() {
	for _, r := range s.rows(leadsTable, leadsColumns...) {
		if i := s.operationOf(r); i >= 0 {
			r.standsAt(rowPosition{leadsTable, i})
			s.Operations[i].Lead = &Lead{
				Item: r.text("item"), Weeks: r.three("weeks"), After: Code(r.text("after")),
				Standing: Standing(r.text("standing")),
			}
		}
	}
}

func (s *sheets) buying() {
	for _, r := range s.rows(buyingTable, buyingColumns...) {
		if i := s.operationOf(r); i >= 0 {
			r.standsAt(rowPosition{buyingTable, i})
			price := map[Kind]ThreePoint{}
			for _, kind := range []Kind{Grand, Upright} {
				if column := "price_" + string(kind); r.text(column) != "" {
					price[kind] = r.three(column)
				}
			}
			s.Operations[i].Buying = &Buying{
				Price: price, Carriage: r.three("carriage"), TurnRound: r.three("turn_round_weeks"),
				StandingOf: Standing(r.text("standing")),
			}
		}
	}
}

// What the column binding says of a link: it binds; it binds, and lapses where its second end isn't
// in the job; or it is a preference.
const (
	hardBinding    = "hard"
	lapsingBinding = "lapsing"
	softBinding    = "soft"
)

func (s *sheets) links() {
	for i, r := range s.rows(linksTable, linksColumns...) {
		r.standsAt(rowPosition{linksTable, i})
		l := Link{
			From: Code(r.text("from")), To: Code(r.text("to")), Type: LinkType(r.text("type")),
			Reason: r.text("reason"), Standing: Standing(r.text("standing")),
		}
		if r.text("lag_hours") != "" {
			lag := r.number("lag_hours")
			l.LagHours = &lag
		}
		switch b := r.text("binding"); b {
		case hardBinding:
			l.Hard = true
		case lapsingBinding:
			l.Hard, l.Lapses = true, true
		case softBinding:
		default:
			r.wrong("binding", "%q must be hard, lapsing or soft", b)
		}
		s.Links = append(s.Links, l)
	}
}

func (s *sheets) choices() {
	for i, r := range s.rows(choicesTable, choicesColumns...) {
		r.standsAt(rowPosition{choicesTable, i})
		group := r.text("group")
		if n := len(s.Choices); n == 0 || s.Choices[n-1].Group != group {
			s.Choices = append(s.Choices, Choice{Group: group})
		}
		choice := &s.Choices[len(s.Choices)-1]
		choice.Options = append(choice.Options, Option{
			Name: r.text("option"), Operations: r.codes("operations"), Optional: r.codes("optional"),
			Refused: Condition(r.text("refused")), RefusedWhy: r.text("refused_why"),
			Standing: Standing(r.text("standing")),
		})
	}
}

func (s *sheets) materials() {
	for i, r := range s.rows(materialsTable, materialsColumns...) {
		r.standsAt(rowPosition{materialsTable, i})
		s.Materials = append(s.Materials, Material{
			Operation: Code(r.text("operation")), Name: r.text("name"), Unit: r.text("unit"),
			Driver: r.text("driver"), PerDriver: r.number("per_driver"), Fixed: r.number("fixed"),
			Waste: r.number("waste"), UnitPrice: r.three("unit_price"),
			When: Condition(r.text("when")), Standing: Standing(r.text("standing")),
		})
	}
}

func (s *sheets) companions() {
	for i, r := range s.rows(companionsTable, companionsColumns...) {
		r.standsAt(rowPosition{companionsTable, i})
		s.Companions = append(s.Companions, Companion{
			ID: r.text("id"), When: Code(r.text("when")), If: Condition(r.text("if")),
			Calls: r.calls("calls"), Necessity: Necessity(r.text("necessity")),
			Reason: r.text("reason"), Standing: Standing(r.text("standing")),
		})
	}
}

func (s *sheets) points() {
	for i, r := range s.rows(pointsTable, pointsColumns...) {
		r.standsAt(rowPosition{pointsTable, i})
		p := Point{
			Code: PointCode(r.text("code")), Component: r.text("component"),
			Observe: r.text("observe"), How: r.text("how"), Sample: r.text("sample"),
			Unit: r.text("unit"), Type: ValueType(r.text("type")),
			Limits: r.limits(), Answers: r.answers(), FlagSeverity: Severity(r.text("flag")),
			AttentionIs: r.text("attention_is"), MustActIs: r.text("must_act_is"),
			HardStop: r.yes("hard_stop"), Photo: r.yes("photo"), Marks: r.marks(),
			Standing: Standing(r.text("standing")), Source: r.text("source"),
		}
		for _, kind := range r.list("kinds") {
			p.Kinds = append(p.Kinds, Kind(kind))
		}
		s.Points = append(s.Points, p)
	}
}

func (r row) marks() []Mark {
	var list []Mark
	for _, s := range r.list("marks") {
		list = append(list, Mark(s))
	}
	return list
}

// limits reads the limits of a reading; nil if the point has none.
func (r row) limits() *Limits {
	low, high := r.span("absurd")
	if low == nil && high == nil {
		return nil
	}
	if low == nil || high == nil {
		r.wrong("absurd", "%q must have both ends", r.text("absurd"))
		return nil
	}
	l := &Limits{AbsurdMin: *low, AbsurdMax: *high}
	l.AcceptMin, l.AcceptMax = r.span("accept")
	l.MustLow, l.MustHigh = r.span("must")
	return l
}

func (r row) answers() []Answer {
	var list []Answer
	for _, s := range r.list("answers") {
		name, severity, _ := strings.Cut(s, "=")
		list = append(list, Answer{name, Severity(severity)})
	}
	return list
}

func (s *sheets) rules() {
	for i, r := range s.rows(rulesTable, rulesColumns...) {
		r.standsAt(rowPosition{rulesTable, i})
		rule := Rule{
			ID: r.text("id"), When: Condition(r.text("when")), Calls: r.calls("calls"),
			Suggest: r.yes("suggest"), RevealedBy: Code(r.text("revealed_by")),
			Reason: r.text("reason"), Standing: Standing(r.text("standing")),
		}
		for _, d := range r.list("depths") {
			rule.Depths = append(rule.Depths, Depth(d))
		}
		s.Rules = append(s.Rules, rule)
	}
}
