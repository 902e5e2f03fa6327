package app

import (
	"cmp"
	"context"
	"fmt"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/instrument"
	"bentside/domain/sale"
	"bentside/domain/stock"

	"github.com/google/uuid"
)

// PartOutInstrument records that an instrument of ours was taken apart: its parts come into stock
// at their shares of what it stood at, and it has left us. It isn't taken back, as no loss is.
func (a *App) PartOutInstrument(
	ctx context.Context, actor Actor, p sale.PartingOut,
) (LostInstrument, error) {
	var made LostInstrument
	err := a.enter(ctx, actor, domain.WriteCosts, func(tx *postgres.Tx) error {
		parts := map[uuid.UUID]bool{}
		for i, x := range p.Parts {
			if _, err := tx.Part(ctx, x.Part); err != nil {
				return unknown(err, fmt.Sprintf("#/parts/%d/part", i), "no part found with this id")
			}
			parts[x.Part] = true
		}
		if err := lockParts(ctx, tx, parts); err != nil {
			return err
		}
		if err := tx.LockInstrument(ctx, p.Instrument); err != nil {
			return err
		}
		s, err := a.postingStands(ctx, tx, p.Instrument, p.On)
		if err != nil {
			return err
		}
		f, err := saleFile(ctx, tx.Reader, p.Instrument, s.Currency)
		if err != nil {
			return err
		}
		asked, err := tx.ShowroomPrice(ctx, p.Instrument)
		if err != nil {
			return err
		}
		offered := sale.StillAsked(s.Instrument, asked, s.Sales, s.Consignments) != nil
		l, err := p.Part(s, f, offered)
		if err != nil {
			return err
		}
		if err := receiveParts(ctx, tx, l, s.Instrument); err != nil {
			return err
		}
		l.RecordedBy, l.RecordedAt = tx.Actor().User, tx.Now()
		tx.Note(domain.InstrumentPartedOut, l.Instrument, partedOutNoted(l))
		made = LostInstrument{l, l.Advice(s.Purchase != nil && s.Purchase.MarginPrice != nil)}
		if err := tx.AddLoss(ctx, l); err != nil {
			return err
		}
		return tx.MoveInstrument(ctx, l.Instrument, instrument.Gone)
	})
	return made, err
}

// LostInstrument is a loss with what to ask an adviser about it.
type LostInstrument struct {
	sale.Loss
	Advice string
}

// receiveParts receives what an instrument gave into stock, on the day on which it left.
func receiveParts(
	ctx context.Context, tx *postgres.Tx, l sale.Loss, from instrument.Instrument,
) error {
	for i := range l.Parts {
		p := &l.Parts[i]
		m, err := moveStock(ctx, tx, stock.Draft{
			ID: newID(uuid.Nil), Part: p.Part, Kind: stock.Receipt, Quantity: &p.Quantity, Unit: p.Unit,
			Value: &p.Cost, On: l.On, CountsFrom: l.PostedOn, Reference: from.StockNumber,
			Note: "recovered from the instrument " + cmp.Or(from.StockNumber, from.ID.String()),
		})
		if err != nil {
			return domain.PrefixPointers(err, fmt.Sprintf("#/parts/%d", i))
		}
		p.Unit, p.Receipt = m.Unit, m.ID
	}
	return nil
}

func partedOutNoted(l sale.Loss) noted {
	parts := make([]noted, len(l.Parts))
	for i, p := range l.Parts {
		parts[i] = noted{
			"part": p.Part, "quantity": p.Quantity, "unit": p.Unit, "cost": p.Cost, "move": p.Receipt,
		}
	}
	return noted{
		"carrying": l.Carrying, "in_parts": l.Recovered(), "parts": parts, "on": l.On,
		"posted_on": l.PostedOn, "instrument_state": instrument.Gone, "why": l.Note,
	}
}

// staysRecovered returns a Conflict Fault where a receipt is what an instrument gave that was
// parted out: its cost was settled with that, which isn't taken back.
func staysRecovered(ctx context.Context, tx *postgres.Tx, receipt uuid.UUID) error {
	from, err := tx.RecoveredFrom(ctx, receipt)
	if err != nil || from == uuid.Nil {
		return err
	}
	return domain.RefuseAt(domain.Conflict, "#/of", "it was recovered from the instrument %s, and what it "+
		"cost was settled with that: count or scrap what isn't there", from)
}
