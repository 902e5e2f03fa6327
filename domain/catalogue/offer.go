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

// Origin is the shipped catalogue that a workshop's catalogue was last brought up to, row by row,
// converted to the workshop's currency. Catalogues from before this was kept have none.
type Origin struct {
	Document string          `json:"document"` // SHA-256 of the canonical form, in hexadecimal
	Rate     decimal.Decimal `json:"rate"`     // that shipped prices are converted at
}

// DescendedFrom returns the catalogue as the next revision of old: origin and hashes of shipped
// rows are old's, whatever the catalogue says itself.
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

// ShippedState says how a row that ships differently now stands to the workshop's own.
type ShippedState string

// Offered: the workshop left the row as it was shipped, so it can simply take the new one.
// Contested: the workshop changed the row too, and decides.
const (
	Offered   ShippedState = "offered"
	Contested ShippedState = "contested"
)

// ShippedChange is a row that ships differently now than it was shipped to the workshop. A nil row
// doesn't exist: not shipped then, no longer shipped, or not among the workshop's own.
type ShippedChange struct {
	RowKey
	State   ShippedState
	Then    *Row
	Now     *Row
	Own     *Row
	Members []string // that differ between Then and Now, if both exist
}

// ShippedChanges compares what ships now with what was shipped then and with the workshop's own
// rows. A row is offered if the workshop left it alone, and contested if both changed it to
// different things. A row that ships as before, or that the workshop changed to the same, isn't
// offered. Offers come in the order of now, rows that are no longer shipped last. The order of rows
// doesn't count as a difference.
func ShippedChanges(then, now, own *Catalogue) []ShippedChange {
	a, b, c := indexRows(then), indexRows(now), indexRows(own)
	var offers []ShippedChange
	look := func(k RowKey) {
		t, n, o := a.rows[k], b.rows[k], c.rows[k]
		switch {
		case t.text == n.text, o.text == n.text:
			return
		case o.text == t.text:
			offers = append(offers, ShippedChange{RowKey: k, State: Offered})
		default:
			offers = append(offers, ShippedChange{RowKey: k, State: Contested})
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

// AsShipped counts the rows with hours or prices that a workshop left as they were shipped.
type AsShipped struct {
	Operations int `json:"operations"`
	Materials  int `json:"materials"`
}

// CountAsShipped compares a workshop's own catalogue with what was shipped to it.
func CountAsShipped(then, own *Catalogue) AsShipped {
	shipped := indexRows(then)
	var n AsShipped
	for key, row := range indexRows(own).rows {
		if shipped.rows[key].text != row.text {
			continue
		}
		switch table(key.Table) {
		case operationsTable:
			n.Operations++
		case materialsTable:
			n.Materials++
		default:
		}
	}
	return n
}

// indexed is the rows of a catalogue by key.
type indexed struct {
	order []RowKey
	rows  map[RowKey]rowText
}

// rowText is a row with its canonical text; the zero value is an absent row.
type rowText struct {
	row  *Row
	text string
}

func indexRows(c *Catalogue) indexed {
	keys, rows := c.Rows()
	x := indexed{order: keys, rows: make(map[RowKey]rowText, len(keys))}
	for i := range rows {
		x.rows[keys[i]] = rowText{&rows[i], string(rows[i].Text())}
	}
	return x
}

// Text returns the row as JSON, without the hash of the shipped row that it started from: equal
// rows give equal texts.
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

// membersApart returns the members in which two rows differ, sorted by name.
func membersApart(a, b rowText) []string {
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

// Answers are a workshop's answer to offers.
type Answers struct {
	All  bool     // take every row that the workshop left alone
	Take []RowKey // take these, whether or not the workshop changed them
	Keep []RowKey // keep the workshop's own rows, and don't offer these again
}

// NotOfferedError says that a row was selected which isn't offered.
type NotOfferedError struct{ Row RowKey }

// Error names the row.
func (e *NotOfferedError) Error() string { return e.Row.String() + " is not offered" }

// TwoAnswersError says that a row was both taken and kept.
type TwoAnswersError struct{ Row RowKey }

// Error names the row.
func (e *TwoAnswersError) Error() string {
	return e.Row.String() + " must be taken or kept, " +
		"not both"
}

// Decide applies a workshop's answer to offers. It returns the workshop's catalogue with the rows
// that were taken, checked as a whole, and what counts as shipped to it from now on, so that rows
// taken or kept aren't offered again. Rows that the workshop changed stay as they are unless they
// are named. The error joins every *NotOfferedError and *TwoAnswersError, or is the Flaws of the
// catalogue that would result.
func Decide(then, now, own *Catalogue, d Answers) (owned, shipped *Catalogue, err error) {
	offers := ShippedChanges(then, now, own)
	var wrong []error
	for _, k := range slices.Concat(d.Take, d.Keep) {
		if !slices.ContainsFunc(offers, func(o ShippedChange) bool { return o.RowKey == k }) {
			wrong = append(wrong, &NotOfferedError{k})
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

// follow brings a row up to what ships now; a new one goes behind the nearest row before it that
// exists.
func (c *Catalogue) follow(o ShippedChange, order []RowKey) {
	if o.Now == nil {
		c.drop(o.RowKey)
		return
	}
	for at := slices.Index(order, o.RowKey) - 1; at >= 0 && order[at].Table == o.Table; at-- {
		if c.put(*o.Now, insertion{behind: order[at].Row}) {
			return
		}
	}
	c.put(*o.Now, insertion{first: true})
}

// ParseRows reads a catalogue from its canonical form without checking that its rows fit together:
// rows shipped to a workshop at different times need not.
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
	c.markStored()
	c.needStored()
	c.groupStored()
	c.placeStored()
	return c, c.standStored()
}

// RowChange says how a row of one catalogue differs in another.
type RowChange struct {
	RowKey
	Change  string   // added, changed, removed
	Members []string // that differ, if the row is changed
}

// Diff returns the rows in which a later catalogue differs from an earlier one, in the order of the
// later one, removed ones last. The order of rows doesn't count as a difference.
func Diff(before, after *Catalogue) []RowChange {
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
