package catalogue

import (
	"fmt"
	"slices"
)

// RowKey identifies a row across revisions by its table and its key there. Operations and points
// have their code, rules and companions their id, choices their group; a link is "DS-02 to DS-03
// FS", a material "BD-02 rest plank blank, laminated", followed by " when " and its condition if it
// has one.
type RowKey struct {
	Table string `json:"table"`
	Row   string `json:"row"`
}

// String returns table and row, as flaws name them.
func (k RowKey) String() string { return k.Table + " " + k.Row }

// Row is one row of one table; exactly one member is set.
type Row struct {
	Operation *Operation `json:"operation,omitempty"`
	Link      *Link      `json:"link,omitempty"`
	Choice    *Choice    `json:"choice,omitempty"`
	Material  *Material  `json:"material,omitempty"`
	Companion *Companion `json:"companion,omitempty"`
	Point     *Point     `json:"point,omitempty"`
	Rule      *Rule      `json:"rule,omitempty"`
}

// Key returns the key of the row, and false unless exactly one member is set.
func (r Row) Key() (RowKey, bool) {
	var keys []RowKey
	add := func(t table, row string) { keys = append(keys, RowKey{string(t), row}) }
	if r.Operation != nil {
		add(operationsTable, operationKey(*r.Operation))
	}
	if r.Link != nil {
		add(linksTable, linkKey(*r.Link))
	}
	if r.Choice != nil {
		add(choicesTable, choiceKey(*r.Choice))
	}
	if r.Material != nil {
		add(materialsTable, materialKey(*r.Material))
	}
	if r.Companion != nil {
		add(companionsTable, companionKey(*r.Companion))
	}
	if r.Point != nil {
		add(pointsTable, pointKey(*r.Point))
	}
	if r.Rule != nil {
		add(rulesTable, ruleKey(*r.Rule))
	}
	if len(keys) != 1 {
		return RowKey{}, false
	}
	return keys[0], true
}

func operationKey(o Operation) string { return string(o.Code) }
func linkKey(l Link) string           { return fmt.Sprintf("%s to %s %s", l.From, l.To, l.Type) }
func choiceKey(c Choice) string       { return c.Group }
func companionKey(k Companion) string { return k.ID }
func pointKey(p Point) string         { return string(p.Code) }
func ruleKey(r Rule) string           { return r.ID }

func materialKey(m Material) string {
	key := fmt.Sprintf("%s %s", m.Operation, m.Name)
	if m.When != "" {
		key += " when " + string(m.When)
	}
	return key
}

// Rows returns all rows of the catalogue with their keys, table by table, in order. They are the
// catalogue's own and must not be changed.
func (c *Catalogue) Rows() ([]RowKey, []Row) {
	var keys []RowKey
	var rows []Row
	add := func(t table, row string, r Row) {
		keys, rows = append(keys, RowKey{string(t), row}), append(rows, r)
	}
	for i := range c.Operations {
		add(operationsTable, operationKey(c.Operations[i]), Row{Operation: &c.Operations[i]})
	}
	for i := range c.Links {
		add(linksTable, linkKey(c.Links[i]), Row{Link: &c.Links[i]})
	}
	for i := range c.Choices {
		add(choicesTable, choiceKey(c.Choices[i]), Row{Choice: &c.Choices[i]})
	}
	for i := range c.Materials {
		add(materialsTable, materialKey(c.Materials[i]), Row{Material: &c.Materials[i]})
	}
	for i := range c.Companions {
		add(companionsTable, companionKey(c.Companions[i]), Row{Companion: &c.Companions[i]})
	}
	for i := range c.Points {
		add(pointsTable, pointKey(c.Points[i]), Row{Point: &c.Points[i]})
	}
	for i := range c.Rules {
		add(rulesTable, ruleKey(c.Rules[i]), Row{Rule: &c.Rules[i]})
	}
	return keys, rows
}

// copied returns a catalogue whose tables can be changed without changing c's. Rows are shared
// until they are replaced.
func (c *Catalogue) copied() *Catalogue {
	d := *c
	d.index = nil
	d.Operations, d.Links, d.Choices = slices.Clone(c.Operations), slices.Clone(c.Links),
		slices.Clone(c.Choices)
	d.Materials, d.Companions = slices.Clone(c.Materials), slices.Clone(c.Companions)
	d.Points, d.Rules = slices.Clone(c.Points), slices.Clone(c.Rules)
	return &d
}

// insertion is the place of a new row in its table: behind a row, before all others, or, the zero
// value, at the end.
type insertion struct {
	behind string
	first  bool
}

// put replaces the row with the same key, or inserts the row. It returns false if the row to insert
// it behind doesn't exist.
func (c *Catalogue) put(r Row, at insertion) bool {
	ok := true
	switch {
	case r.Operation != nil:
		c.Operations, ok = putRow(c.Operations, operationKey, *r.Operation, at)
	case r.Link != nil:
		c.Links, ok = putRow(c.Links, linkKey, *r.Link, at)
	case r.Choice != nil:
		c.Choices, ok = putRow(c.Choices, choiceKey, *r.Choice, at)
	case r.Material != nil:
		c.Materials, ok = putRow(c.Materials, materialKey, *r.Material, at)
	case r.Companion != nil:
		c.Companions, ok = putRow(c.Companions, companionKey, *r.Companion, at)
	case r.Point != nil:
		c.Points, ok = putRow(c.Points, pointKey, *r.Point, at)
	case r.Rule != nil:
		c.Rules, ok = putRow(c.Rules, ruleKey, *r.Rule, at)
	}
	return ok
}

// drop removes a row and reports whether it existed.
func (c *Catalogue) drop(k RowKey) bool {
	ok := false
	switch table(k.Table) {
	case operationsTable:
		c.Operations, ok = dropRow(c.Operations, operationKey, k.Row)
	case linksTable:
		c.Links, ok = dropRow(c.Links, linkKey, k.Row)
	case choicesTable:
		c.Choices, ok = dropRow(c.Choices, choiceKey, k.Row)
	case materialsTable:
		c.Materials, ok = dropRow(c.Materials, materialKey, k.Row)
	case companionsTable:
		c.Companions, ok = dropRow(c.Companions, companionKey, k.Row)
	case pointsTable:
		c.Points, ok = dropRow(c.Points, pointKey, k.Row)
	case rulesTable:
		c.Rules, ok = dropRow(c.Rules, ruleKey, k.Row)
	case currencyTable, leadsTable, buyingTable: // no rows of their own
	}
	return ok
}

func putRow[T any](rows []T, key func(T) string, row T, at insertion) ([]T, bool) {
	if i := indexOf(rows, key, key(row)); i >= 0 {
		rows[i] = row
		return rows, true
	}
	if at.first {
		return slices.Insert(rows, 0, row), true
	}
	if at.behind == "" {
		return append(rows, row), true
	}
	i := indexOf(rows, key, at.behind)
	if i < 0 {
		return rows, false
	}
	return slices.Insert(rows, i+1, row), true
}

func dropRow[T any](rows []T, key func(T) string, k string) ([]T, bool) {
	i := indexOf(rows, key, k)
	if i < 0 {
		return rows, false
	}
	return slices.Delete(rows, i, i+1), true
}

func indexOf[T any](rows []T, key func(T) string, k string) int {
	return slices.IndexFunc(rows, func(r T) bool { return key(r) == k })
}
