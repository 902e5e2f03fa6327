package catalogue

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"

	"github.com/shopspring/decimal"
)

// Origin is where a workshop's catalogue comes from: the shipped catalogue that
// it was last brought up to, row by row, restated in the workshop's currency.
// Catalogues made before this was kept have none.
type Origin struct {
	Document string          `json:"document"` // SHA-256 of the canonical form, in hexadecimal
	Rate     decimal.Decimal `json:"rate"`     // that shipped prices are restated at
}

// DescendedFrom is the catalogue as the next revision of old: its origin and
// the hashes of shipped rows are old's, whatever it says itself.
func (c *Catalogue) DescendedFrom(old *Catalogue) *Catalogue {
	next := c.copied()
	next.Origin = old.Origin
	for i := range next.Operations {
		next.Operations[i].Shipped = ""
		if o := old.Operation(next.Operations[i].Code); o != nil {
			next.Operations[i].Shipped = o.Shipped
		}
	}
	next.index = newIndex(next)
	return next
}

// OfferState says what has become of a row that ships differently by now.
type OfferState string

// Offered: the workshop has left the row as it was shipped, so the new one can
// simply be taken. Contested: the workshop has changed it too, and decides.
const (
	Offered   OfferState = "offered"
	Contested OfferState = "contested"
)

// Offer is a row that ships differently from how it was shipped to the
// workshop. A nil row is none: not shipped then, no longer shipped now, or not
// among the workshop's own.
type Offer struct {
	RowKey
	State   OfferState
	Then    *Row
	Now     *Row
	Own     *Row
	Members []string // that differ between then and now, where both are there
}

// OffersOf holds what is shipped now against what was shipped then and the
// workshop's own rows: a row is offered where the workshop left it alone, is
// contested where both have changed it, each to something else, and is no offer
// where it ships as before or the workshop has come to the same by itself.
// Rows stand in the order of now, what is no longer shipped behind them. The
// order of rows is no difference.
func OffersOf(then, now, own *Catalogue) []Offer {
	a, b, c := indexRows(then), indexRows(now), indexRows(own)
	var offers []Offer
	look := func(k RowKey) {
		t, n, o := a.rows[k], b.rows[k], c.rows[k]
		switch {
		case t.text == n.text, o.text == n.text:
			return
		case o.text == t.text:
			offers = append(offers, Offer{RowKey: k, State: Offered})
		default:
			offers = append(offers, Offer{RowKey: k, State: Contested})
		}
		x := &offers[len(offers)-1]
		x.Then, x.Now, x.Own = t.row, n.row, o.row
		x.Members = membersApart(t, n)
	}
	for _, k := range b.order {
		look(k)
	}
	for _, k := range a.order {
		if _, still := b.rows[k]; !still {
			look(k)
		}
	}
	return offers
}

// indexed is the rows of a catalogue by their keys.
type indexed struct {
	order []RowKey
	rows  map[RowKey]written
}

// written is a row with its canonical text; the zero value is no row.
type written struct {
	row  *Row
	text string
}

func indexRows(c *Catalogue) indexed {
	keys, rows := c.Rows()
	x := indexed{order: keys, rows: make(map[RowKey]written, len(keys))}
	for i := range rows {
		x.rows[keys[i]] = written{&rows[i], string(rows[i].Text())}
	}
	return x
}

// Text is the row alone as JSON, without the hash of the shipped row that it
// started from: the same row always gives the same text.
func (r Row) Text() []byte {
	switch {
	case r.Operation != nil:
		o := *r.Operation
		o.Shipped = ""
		return encode(o)
	case r.Link != nil:
		return encode(r.Link)
	case r.Choice != nil:
		return encode(r.Choice)
	case r.Material != nil:
		return encode(r.Material)
	case r.Companion != nil:
		return encode(r.Companion)
	case r.Point != nil:
		return encode(r.Point)
	case r.Rule != nil:
		return encode(r.Rule)
	default:
		return nil
	}
}

// membersApart are the members in which two rows differ, in order of name.
func membersApart(a, b written) []string {
	if a.row == nil || b.row == nil {
		return nil
	}
	x, y := membersOf(a.text), membersOf(b.text)
	var names []string
	for name := range x {
		if !bytes.Equal(x[name], y[name]) {
			names = append(names, name)
		}
	}
	for name := range y {
		if _, there := x[name]; !there {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

func membersOf(text string) map[string]json.RawMessage {
	var m map[string]json.RawMessage
	if err := json.Unmarshal([]byte(text), &m); err != nil {
		panic(fmt.Errorf("read a row that was just written: %w", err))
	}
	return m
}

// Decision is what a workshop says to offers.
type Decision struct {
	All  bool     // take every row that the workshop left alone
	Take []RowKey // take these, changed by the workshop or not
	Keep []RowKey // keep the workshop's own of these, and offer them no more
}

// NoOfferError is an answer to an offer that there is not.
type NoOfferError struct{ Row RowKey }

// Error names the row.
func (e *NoOfferError) Error() string { return e.Row.String() + " is not offered" }

// TwoAnswersError is a row that is both taken and kept.
type TwoAnswersError struct{ Row RowKey }

// Error names the row.
func (e *TwoAnswersError) Error() string { return e.Row.String() + " is both taken and kept" }

// Decide answers offers. Own is the workshop's catalogue with the rows that are
// taken, checked as a whole; then is what has been shipped to it from now on,
// so that rows taken or kept are offered no more. Rows that the workshop has
// changed stay as they are unless they are named. The error joins every
// *NoOfferError and *TwoAnswersError, or is the Problems of the catalogue that
// would come about.
func Decide(then, now, own *Catalogue, d Decision) (owned, shipped *Catalogue, err error) {
	offers := OffersOf(then, now, own)
	var wrong []error
	for _, k := range slices.Concat(d.Take, d.Keep) {
		if !slices.ContainsFunc(offers, func(o Offer) bool { return o.RowKey == k }) {
			wrong = append(wrong, &NoOfferError{k})
		}
	}
	for _, k := range d.Take {
		if slices.Contains(d.Keep, k) {
			wrong = append(wrong, &TwoAnswersError{k})
		}
	}
	if len(wrong) > 0 {
		return nil, nil, errors.Join(wrong...)
	}
	owned, shipped = own.copied(), then.copied()
	order := indexRows(now).order
	for _, o := range offers {
		keep := slices.Contains(d.Keep, o.RowKey)
		take := !keep && (d.All && o.State == Offered || slices.Contains(d.Take, o.RowKey))
		if take {
			owned.follow(o, order)
		}
		if take || keep {
			shipped.follow(o, order)
		}
	}
	if err := owned.Check(); err != nil {
		return nil, nil, err
	}
	owned.index = newIndex(owned)
	return owned, shipped, nil
}

// follow makes a row as it ships now, behind the nearest row before it that is
// there.
func (c *Catalogue) follow(o Offer, order []RowKey) {
	if o.Now == nil {
		c.drop(o.RowKey)
		return
	}
	for at := slices.Index(order, o.RowKey) - 1; at >= 0 && order[at].Table == o.Table; at-- {
		if c.put(*o.Now, spot{behind: order[at].Row}) {
			return
		}
	}
	c.put(*o.Now, spot{first: true})
}

// ParseRows reads a catalogue from its canonical form without checking that its
// rows fit together: what has been shipped to a workshop, row by row, need not.
func ParseRows(b []byte) (*Catalogue, error) {
	c := &Catalogue{}
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	if err := d.Decode(c); err != nil {
		return nil, fmt.Errorf("read the rows of a catalogue: %w", err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return nil, errors.New("read the rows of a catalogue: something follows them")
	}
	return c, nil
}

// RowChange is how a row of one catalogue differs in another.
type RowChange struct {
	RowKey
	Change  string   // added, changed, removed
	Members []string // that differ, where the row is changed
}

// RowsApart are the rows in which a later catalogue differs from an earlier
// one, in the order of the later one, removed ones behind them. The order of
// rows is no difference.
func RowsApart(before, after *Catalogue) []RowChange {
	a, b := indexRows(before), indexRows(after)
	var list []RowChange
	for _, k := range b.order {
		old, now := a.rows[k], b.rows[k]
		switch {
		case old.row == nil:
			list = append(list, RowChange{RowKey: k, Change: "added"})
		case old.text != now.text:
			list = append(list, RowChange{RowKey: k, Change: "changed", Members: membersApart(old, now)})
		}
	}
	for _, k := range a.order {
		if _, still := b.rows[k]; !still {
			list = append(list, RowChange{RowKey: k, Change: "removed"})
		}
	}
	return list
}
