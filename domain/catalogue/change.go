package catalogue

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
)

// Change is one edit of a catalogue. Exactly one of Put, Remove and Set is given; Why is kept with
// the revision that it makes.
type Change struct {
	// Put replaces the row with the same key, or adds it behind the row of its table that After names;
	// at the end if After is empty.
	Put   *Row   `json:"put,omitempty"`
	After string `json:"after,omitempty"`
	// Remove takes a row out.
	Remove *RowKey `json:"remove,omitempty"`
	// Set changes single figures of an operation.
	Set *Setting `json:"set,omitempty"`
	Why string   `json:"why"`
}

// Setting changes members of one operation; what is absent stays. If a figure changes and no
// standing is given, the operation's becomes Own with the reason for the change.
type Setting struct {
	Operation Code                `json:"operation"`
	Name      string              `json:"name,omitempty"`
	Note      string              `json:"note,omitempty"`
	Hours     map[Kind]Hours      `json:"hours,omitempty"` // the kinds that are given
	Crew      int                 `json:"crew,omitempty"`
	Tail      *ThreePoint         `json:"tail,omitempty"` // hours
	Making    Making              `json:"making,omitempty"`
	Buying    *Buying             `json:"buying,omitempty"` // the whole offer
	Price     map[Kind]ThreePoint `json:"price,omitempty"`  // of the offer, the kinds that are given
	Carriage  *ThreePoint         `json:"carriage,omitempty"`
	TurnRound *ThreePoint         `json:"turn_round,omitempty"` // weeks
	Lead      *Lead               `json:"lead,omitempty"`
	Clear     []string            `json:"clear,omitempty"` // buying, lead
	Standing  Standing            `json:"standing,omitempty"`
}

// Own begins the standing of a figure that a workshop has set itself.
const Own = "the workshop's own"

// ChangeFlaw is one fault in a list of changes. At is the position of the change, or -1 if no
// single change is at fault; Member is the faulty member, such as "put", empty for the whole
// change.
type ChangeFlaw struct {
	At     int
	Member string
	Err    error
}

// Error names the change and the fault.
func (p *ChangeFlaw) Error() string {
	if p.At < 0 {
		return p.Err.Error()
	}
	return fmt.Sprintf("change %d: %v", p.At+1, p.Err)
}

// Unwrap returns the fault.
func (p *ChangeFlaw) Unwrap() error { return p.Err }

// ChangeFlaws are all faults in a list of changes.
type ChangeFlaws []*ChangeFlaw

// Error lists the flaws, one a line.
func (ps ChangeFlaws) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.Error()
	}
	return strings.Join(lines, "\n")
}

// With returns the catalogue after changes made in their order, checked as a whole. The catalogue
// itself stays as it is, and rows keep the hash of the shipped row that they started from. The
// error is ChangeFlaws: the changes that can't be made, or else all faults of the changed
// catalogue, each assigned to the change that touched the row last.
func (c *Catalogue) With(changes []Change) (*Catalogue, error) {
	b := &changing{Catalogue: c.copied(), before: c, touched: map[RowKey]int{}}
	for i := range changes {
		b.at = i
		b.apply(&changes[i])
	}
	if len(b.flaws) > 0 {
		return nil, b.flaws
	}
	if err := b.Check(); err != nil {
		return nil, b.blamed(changes, err)
	}
	if _, err := b.Files(); err != nil {
		return nil, b.blamed(changes, err)
	}
	b.index = newIndex(b.Catalogue)
	return b.Catalogue, nil
}

// changing is a catalogue while changes are made to it.
type changing struct {
	*Catalogue
	before  *Catalogue
	at      int
	touched map[RowKey]int // the change that touched a row last
	flaws   ChangeFlaws
}

func (b *changing) wrong(member, format string, args ...any) {
	b.flaws = append(
		b.flaws, &ChangeFlaw{At: b.at, Member: member, Err: fmt.Errorf(format, args...)},
	)
}

func (b *changing) apply(x *Change) {
	given := 0
	for _, there := range []bool{x.Put != nil, x.Remove != nil, x.Set != nil} {
		if there {
			given++
		}
	}
	switch {
	case given != 1:
		b.wrong("", "must give exactly one of put, remove and set")
	case strings.TrimSpace(x.Why) == "":
		b.wrong("why", "must give the reason for the change")
	case x.Put != nil:
		b.putRow(*x.Put, x.After, Standing(Own+": "+x.Why))
	case x.Remove != nil:
		b.touched[*x.Remove] = b.at
		if !b.drop(*x.Remove) {
			b.wrong("remove", "no row %q in %s", x.Remove.Row, x.Remove.Table)
		}
	default:
		b.set(x.Set, x.Why)
	}
}

// putRow puts a row as it is given; a link or companion without a standing becomes the workshop's
// own.
func (b *changing) putRow(r Row, after string, own Standing) {
	key, ok := r.Key()
	if !ok {
		b.wrong(
			"put",
			"must give exactly one of operation, link, choice, material, companion, point and rule",
		)
		return
	}
	if o := r.Operation; o != nil {
		put := *o
		put.Shipped = ""
		if old := b.find(o.Code); old != nil {
			put.Shipped = old.Shipped
		}
		r.Operation = &put
	}
	if l := r.Link; l != nil && l.Standing == "" {
		put := *l
		put.Standing = own
		r.Link = &put
	}
	if k := r.Companion; k != nil {
		put := *k
		if put.Standing == "" {
			put.Standing = own
		}
		if put.Necessity == "" {
			put.Necessity = Needed
		}
		r.Companion = &put
	}
	b.touched[key] = b.at
	if !b.put(r, insertion{behind: after}) {
		b.wrong("after", "no row %q in %s to stand behind", after, key.Table)
	}
}

// find returns an operation of the tables as they are now, or nil if there is none.
func (b *changing) find(code Code) *Operation {
	if i := indexOf(b.Operations, operationKey, string(code)); i >= 0 {
		return &b.Operations[i]
	}
	return nil
}

func (b *changing) set(s *Setting, why string) {
	o := b.find(s.Operation)
	if o == nil {
		b.wrong("set/operation", "unknown operation %q", s.Operation)
		return
	}
	b.touched[RowKey{string(operationsTable), string(s.Operation)}] = b.at
	own := s.Standing
	if own == "" {
		own = Standing(Own + ": " + why)
	}
	if s.figures(o) {
		o.Standing = own
	}
	b.setOffer(o, s, own)
	for _, what := range s.Clear {
		switch what {
		case "buying":
			o.Buying = nil
		case "lead":
			o.Lead = nil
		default:
			b.wrong("set/clear", "%q can't be cleared; use buying or lead", what)
		}
	}
}

// figures sets what stands in the operation itself and reports whether a figure was among it.
func (s *Setting) figures(o *Operation) bool {
	figure := len(s.Hours) > 0 || s.Crew != 0 || s.Tail != nil
	if len(s.Hours) > 0 {
		hours := maps.Clone(o.Hours)
		maps.Copy(hours, s.Hours)
		o.Hours = hours
	}
	if s.Crew != 0 {
		o.Crew = s.Crew
	}
	if s.Tail != nil {
		o.Tail = *s.Tail
	}
	if s.Name != "" {
		o.Name = s.Name
	}
	if s.Note != "" {
		o.Note = s.Note
	}
	if s.Making != "" {
		o.Making = s.Making
	}
	if s.Lead != nil {
		lead := *s.Lead
		o.Lead = &lead
	}
	return figure
}

// setOffer sets the offer of an outside firm, whole or by its figures.
func (b *changing) setOffer(o *Operation, s *Setting, own Standing) {
	if s.Buying != nil {
		offer := *s.Buying
		o.Buying = &offer
	}
	if len(s.Price) == 0 && s.Carriage == nil && s.TurnRound == nil {
		return
	}
	if o.Buying == nil {
		b.wrong("set", "no firm offers %s (%s) yet: give the whole offer as buying", o.Code, o.Name)
		return
	}
	offer := *o.Buying
	offer.StandingOf = own
	if len(s.Price) > 0 {
		offer.Price = maps.Clone(offer.Price)
		if offer.Price == nil {
			offer.Price = map[Kind]ThreePoint{}
		}
		maps.Copy(offer.Price, s.Price)
	}
	if s.Carriage != nil {
		offer.Carriage = *s.Carriage
	}
	if s.TurnRound != nil {
		offer.TurnRound = *s.TurnRound
	}
	o.Buying = &offer
}

// blamed assigns the faults that Check found to the changes.
func (b *changing) blamed(changes []Change, err error) error {
	var found Flaws
	if !errors.As(err, &found) {
		return err
	}
	flaws := make(ChangeFlaws, len(found))
	for i, p := range found {
		flaws[i] = &ChangeFlaw{At: b.changeOf(p), Err: p}
		if at := flaws[i].At; at >= 0 {
			flaws[i].Member = changes[at].member(p)
		}
	}
	slices.SortStableFunc(flaws, func(x, y *ChangeFlaw) int { return x.At - y.At })
	return flaws
}

// member returns where in a row that was put a word isn't in its closed list; empty for any other
// problem.
func (x *Change) member(p *Flaw) string {
	words := []string{
		"phase", "skill", "station", "subassembly", "driver", "emits", "needs", "unit",
	}
	if x.Put == nil || !slices.Contains(words, p.Column) {
		return ""
	}
	switch table(p.Row.Table) {
	case operationsTable:
		return "put/operation/" + p.Column
	case materialsTable:
		return "put/material/" + p.Column
	case pointsTable:
		return "put/point/" + p.Column
	default:
		return ""
	}
}

// changeOf returns the change that a problem is due to: the last one of its row, or the one that
// removed the row, or the mark, that is missing; -1 if there is none.
func (b *changing) changeOf(p *Flaw) int {
	if at, ok := b.touched[p.Row]; ok {
		return at
	}
	var missing *MissingMarkError
	if errors.As(p.Err, &missing) {
		if at, ok := b.touched[b.before.holder(missing)]; ok {
			return at
		}
	}
	best := -1
	for key, at := range b.touched {
		if at > best && strings.Contains(p.Err.Error(), `"`+key.Row+`"`) {
			best = at
		}
	}
	return best
}
