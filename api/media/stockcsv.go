package media

import (
	"strconv"

	"bentside/domain"
	"bentside/openapi"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// StockTable returns what is in stock as a table, with or without the columns of value.
func StockTable(items []openapi.StockedPart, withMoney bool) [][]string {
	table := [][]string{{
		"part", "code", "name", "unit", "method", "quantity", "minimum", "below_minimum",
	}}
	if withMoney {
		table[0] = append(table[0], "value", "currency")
	}
	for _, s := range items {
		row := []string{
			s.Part.String(), domain.CellText(s.Code), domain.CellText(s.Name), domain.CellText(s.Unit),
			string(s.Method),
			s.Quantity.String(), s.Minimum.String(), strconv.FormatBool(s.BelowMinimum),
		}
		if s.Value != nil {
			row = append(row, s.Value.Amount, s.Value.Currency)
		}
		table = append(table, row)
	}
	return table
}

// MoveTable returns moves as a table, with or without the columns of value.
func MoveTable(items []openapi.StockMove, withMoney bool) [][]string {
	table := [][]string{{
		"number", "id", "kind", "on", "posted_on", "entered", "unit", "quantity", "held", "job",
		"operation", "of", "counts_as", "supplier", "reference", "note", "recorded_by", "recorded_at",
	}}
	if withMoney {
		table[0] = append(table[0], "value", "held_value", "currency")
	}
	for _, m := range items {
		row := []string{
			strconv.FormatInt(m.Number, 10), m.ID.String(), string(m.Kind), m.On, m.PostedOn,
			decimalOrEmpty(m.Entered), domain.CellText(m.Unit), m.Quantity.String(), m.Held.String(),
			idOrEmpty(m.Job), m.Operation, idOrEmpty(m.Of), string(m.CountsAs), idOrEmpty(m.Supplier),
			domain.CellText(m.Reference), domain.CellText(m.Note), m.RecordedBy.String(),
			m.RecordedAt.Format("2006-01-02T15:04:05.999999Z07:00"),
		}
		if m.Value != nil && m.HeldValue != nil {
			row = append(row, m.Value.Amount, m.HeldValue.Amount, m.Value.Currency)
		}
		table = append(table, row)
	}
	return table
}

func decimalOrEmpty(d *decimal.Decimal) string {
	if d == nil {
		return ""
	}
	return d.String()
}

func idOrEmpty(id uuid.UUID) string {
	if id == uuid.Nil {
		return ""
	}
	return id.String()
}
