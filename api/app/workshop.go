package app

import (
	"context"
	"encoding/hex"
	"fmt"
	"time"

	"bentside/api/auth"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// WorkshopDraft is what a workshop is created from.
type WorkshopDraft struct {
	Workshop  domain.Workshop
	OwnerName string
	// PriceRate is what one unit of the shipped catalogue's currency is worth in the workshop's.
	PriceRate decimal.Decimal
}

// CreateWorkshop creates a workshop with its owner and its own copy of the shipped catalogue, and
// returns the owner.
func (a *App) CreateWorkshop(ctx context.Context, f WorkshopDraft) (Actor, error) {
	w := f.Workshop
	w.ID = newID(w.ID)
	if err := w.Check(); err != nil {
		return Actor{}, err
	}
	if _, err := zoneOf(w); err != nil {
		return Actor{}, err
	}
	shipped, err := a.shipped()
	if err != nil {
		return Actor{}, fmt.Errorf("read the shipped catalogue: %w", err)
	}
	if err := w.Terms.UnknownOdds.CheckPoints(shipped); err != nil {
		return Actor{}, err
	}
	actor := Actor{
		Workshop: w.ID, User: newID(uuid.Nil), Role: domain.Owner,
		Reason: "the workshop is founded",
	}
	err = a.store.Write(ctx, actor, a.now(), func(tx *postgres.Tx) error {
		if err := tx.AddWorkshop(ctx, w); err != nil {
			return err
		}
		if err := tx.AddMember(ctx, actor.User, f.OwnerName, domain.Owner); err != nil {
			return err
		}
		own := shipped.InCurrency(w.Terms.Currency, f.PriceRate)
		base, err := tx.KeepDocument(ctx, own.Canonical())
		if err != nil {
			return err
		}
		own.Origin = &catalogue.Origin{Document: hex.EncodeToString(base[:]), Rate: f.PriceRate}
		hash, err := tx.KeepDocument(ctx, own.Canonical())
		if err != nil {
			return err
		}
		if _, err := tx.AddRevision(ctx, 0, hash, "as shipped"); err != nil {
			return err
		}
		tx.Note(
			domain.WorkshopFounded, w.ID,
			noted{
				"name": w.Name, "currency": w.Terms.Currency, "zone": w.Zone,
			}.text("country", w.Country),
		)
		return nil
	})
	return actor, err
}

// ChangeWorkshop replaces the settings, at the version that was read. The currency can't change,
// because stored amounts are in it.
func (a *App) ChangeWorkshop(
	ctx context.Context, actor Actor, w domain.Workshop, version int64,
) (Versioned[domain.Workshop], error) {
	var now Versioned[domain.Workshop]
	err := a.write(ctx, actor, domain.WriteSettings, func(tx *postgres.Tx) error {
		old, err := tx.Workshop(ctx)
		if err != nil {
			return err
		}
		w.ID, w.Confirmed = old.Value.ID, old.Value.Confirmed
		rev, err := tx.LatestRevision(ctx)
		if err != nil {
			return err
		}
		c, err := a.catalogueOf(ctx, tx.Reader, rev.Document)
		if err != nil {
			return err
		}
		_, noZone := zoneOf(w)
		if err := domain.JoinFaults(
			w.CheckChange(old.Value), noZone, w.Terms.UnknownOdds.CheckPoints(c),
		); err != nil {
			return err
		}
		if err := tx.SaveWorkshop(ctx, w, version); err != nil {
			return err
		}
		tx.Note(domain.WorkshopChanged, w.ID, noted{
			"name": w.Name, "currency": w.Terms.Currency, "zone": w.Zone, "version": version + 1,
		}.text("country", w.Country))
		now = Versioned[domain.Workshop]{Value: w, Version: version + 1, CreatedAt: old.CreatedAt}
		return nil
	})
	return now, err
}

// IssuedToken is a token with its secret, which is never shown again.
type IssuedToken struct {
	postgres.Token
	Secret string
}

// NewToken asks for a token. If Name is set, a new member with that name and role is added and gets
// the token; otherwise the actor does.
type NewToken struct {
	Name      string
	Role      domain.Role
	Note      string
	ExpiresAt *time.Time
}

// IssueToken issues a token.
func (a *App) IssueToken(ctx context.Context, actor Actor, n NewToken) (IssuedToken, error) {
	secret, hash, err := auth.NewSecret(a.random)
	if err != nil {
		return IssuedToken{}, err
	}
	issued := IssuedToken{Secret: secret}
	err = a.write(ctx, actor, domain.IssueTokens, func(tx *postgres.Tx) error {
		user := actor.User
		if n.Name != "" {
			if !n.Role.Valid() {
				return domain.Faults{
					{
						Pointer: "#/role",
						Detail: fmt.Sprintf(
							"must be owner, buyer, manager, bench, bookkeeper or viewer, not %q", n.Role,
						),
					},
				}.Err()
			}
			user = newID(uuid.Nil)
			if err := tx.AddMember(ctx, user, n.Name, n.Role); err != nil {
				return err
			}
		}
		id := newID(uuid.Nil)
		if err := tx.AddToken(ctx, id, user, hash, n.Note, n.ExpiresAt); err != nil {
			return err
		}
		if issued.Token, err = tx.Reader.Token(ctx, id); err != nil {
			return err
		}
		told := noted{"user": user, "role": issued.Token.Role}
		if n.ExpiresAt != nil {
			told["expires_at"] = n.ExpiresAt
		}
		tx.Note(domain.TokenIssued, id, told)
		return nil
	})
	return issued, err
}

// RevokeToken makes a token invalid at once.
func (a *App) RevokeToken(ctx context.Context, actor Actor, id uuid.UUID) error {
	return a.write(ctx, actor, domain.IssueTokens, func(tx *postgres.Tx) error {
		t, err := tx.Reader.Token(ctx, id)
		if err != nil {
			return err
		}
		if err := tx.RevokeToken(ctx, id); err != nil {
			return err
		}
		tx.Note(domain.TokenRevoked, id, noted{"user": t.User, "role": t.Role})
		return nil
	})
}
