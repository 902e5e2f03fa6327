package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/sale"

	"github.com/google/uuid"
)

// TakeDeposit records that a buyer left a deposit for an instrument.
func (a *App) TakeDeposit(
	ctx context.Context, actor Actor, m sale.DepositMove,
) (sale.Deposit, error) {
	var made sale.Deposit
	err := a.enter(ctx, actor, domain.WriteSales, func(tx *postgres.Tx) error {
		if err := tx.LockInstrument(ctx, m.Instrument); err != nil {
			return err
		}
		s, err := a.postingStands(ctx, tx, m.Instrument, m.On)
		if err != nil {
			return err
		}
		if err := knownParty(ctx, tx, "#/buyer", m.Buyer); err != nil {
			return err
		}
		m.ID = newID(m.ID)
		if m, err = m.Take(s); err != nil {
			return err
		}
		tx.Note(domain.DepositTaken, m.Deposit, depositNoted(m))
		if err := addDepositMove(ctx, tx, m); err != nil {
			return err
		}
		made, err = tx.Deposit(ctx, m.Deposit)
		return err
	})
	return made, err
}

// ReleaseDeposit records that a deposit, or part of it, is refunded or forfeited.
func (a *App) ReleaseDeposit(
	ctx context.Context, actor Actor, m sale.DepositMove,
) (sale.Deposit, error) {
	var made sale.Deposit
	err := a.enter(ctx, actor, domain.WriteSales, func(tx *postgres.Tx) error {
		of, err := tx.Deposit(ctx, m.Deposit)
		if err != nil {
			return err
		}
		s, err := a.lockDeposit(ctx, tx, of, m.On)
		if err != nil {
			return err
		}
		if of, err = tx.Deposit(ctx, m.Deposit); err != nil { // as it is under the lock
			return err
		}
		if m, err = m.Release(of, s); err != nil {
			return err
		}
		if m.Kind == sale.Refunded {
			tx.Note(domain.DepositRefunded, m.Deposit, depositNoted(m))
		} else {
			tx.Note(domain.DepositForfeited, m.Deposit, depositNoted(m))
		}
		if err := addDepositMove(ctx, tx, m); err != nil {
			return err
		}
		made, err = tx.Deposit(ctx, m.Deposit)
		return err
	})
	return made, err
}

// lockDeposit locks what a deposit was left for, a job or an instrument, and returns what decides
// on its release.
func (a *App) lockDeposit(
	ctx context.Context, tx *postgres.Tx, d sale.Deposit, on domain.Date,
) (sale.Stands, error) {
	if d.Job == uuid.Nil {
		if err := tx.LockInstrument(ctx, d.Instrument); err != nil {
			return sale.Stands{}, err
		}
		return a.postingStands(ctx, tx, d.Instrument, on)
	}
	if _, err := tx.LockJob(ctx, d.Job); err != nil {
		return sale.Stands{}, err
	}
	return workStands(ctx, tx)
}

func addDepositMove(ctx context.Context, tx *postgres.Tx, m sale.DepositMove) error {
	m.ID, m.RecordedBy, m.RecordedAt = newID(m.ID), tx.Actor().User, tx.Now()
	return tx.AddDepositMove(ctx, m)
}

// depositNoted returns what the feed says of a move of a deposit.
func depositNoted(m sale.DepositMove) noted {
	n := noted{
		"instrument": m.Instrument, "buyer": m.Buyer, "amount": m.Amount, "on": m.On,
		"posted_on": m.PostedOn,
	}.id("job", m.Job)
	if m.Kind == sale.Forfeited {
		n["tax"] = m.Tax
	}
	return n.text("why", m.Note)
}

// knownParty returns an Invalid Fault where a party is named and isn't found.
func knownParty(ctx context.Context, tx *postgres.Tx, pointer string, id uuid.UUID) error {
	if id == uuid.Nil {
		return nil
	}
	_, err := tx.Party(ctx, id)
	return unknown(err, pointer, "no party found with this id")
}
