package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/sale"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// exchangeScan is what a row may have of what was taken in part payment.
type exchangeScan struct {
	instrument, document *uuid.UUID
	value, tax           *int64
	number, reference    *string
}

func (s exchangeScan) exchange(c money.Currency) *sale.Exchange {
	if s.instrument == nil {
		return nil
	}
	return &sale.Exchange{
		Instrument: *s.instrument, Value: money.FromMinor(*s.value, c),
		Tax: money.FromMinor(*s.tax, c), StockNumber: *s.number, Reference: *s.reference,
		Document: *s.document,
	}
}

// AddExchange adds what was taken in part payment for a sale. Both instruments must be locked.
func (tx *Tx) AddExchange(ctx context.Context, of uuid.UUID, e sale.Exchange) error {
	return tx.exec(ctx, `
		INSERT INTO part_exchanges (workshop_id, sale_id, instrument_id, value, tax, stock_number,
		reference, document_id)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
		tx.workshop, of, e.Instrument, e.Value.Minor(), e.Tax.Minor(), e.StockNumber, e.Reference,
		e.Document)
}

// ExchangedOn returns the day of the sale for which an instrument was taken in part payment by the
// document of its purchase, while that sale counts; zero where it wasn't.
func (r Reader) ExchangedOn(ctx context.Context, document uuid.UUID) (domain.Date, error) {
	days, err := many(ctx, r, pgx.RowTo[time.Time], `
		SELECT s.effective_on
		FROM part_exchanges p
		JOIN sales s ON s.workshop_id = p.workshop_id AND s.id = p.sale_id
		WHERE p.workshop_id = $1 AND p.document_id = $2 AND NOT EXISTS (SELECT FROM sale_returns b
		WHERE b.workshop_id = s.workshop_id AND b.sale_id = s.id)`, r.workshop, document)
	if err != nil || len(days) == 0 {
		return domain.Date{}, err
	}
	return domain.DateOf(days[0]), nil
}
