package app

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
)

// ReviseCatalogue makes a whole catalogue the revision after the one that was read. Scopes keep the
// revision they pin. The origin and the hashes of shipped rows are carried over, not taken from c.
func (a *App) ReviseCatalogue(
	ctx context.Context, actor Actor, c *catalogue.Catalogue, note string, after int,
) (CatalogueRevision, error) {
	var made CatalogueRevision
	err := a.write(ctx, actor, domain.WriteSettings, func(tx *postgres.Tx) error {
		latest, err := a.latestIfStill(ctx, tx, after)
		if err != nil {
			return err
		}
		next := c.DescendedFrom(latest.Catalogue)
		if err := next.Check(); err != nil {
			return catalogueFaults("#/document", err)
		}
		if _, err := next.Files(); err != nil {
			return catalogueFaults("#/document", err)
		}
		made, err = a.addRevision(ctx, tx, next, note, after)
		if err != nil {
			return err
		}
		tx.Note(
			domain.CatalogueRevised, actor.Workshop,
			map[string]any{"revision": made.Number, "note": note},
		)
		return nil
	})
	return made, err
}

// EditCatalogue makes a new revision by applying changes to the one that was read. All faults of
// the changes come back together, each with its pointer.
func (a *App) EditCatalogue(
	ctx context.Context, actor Actor, changes []catalogue.Change, note string, after int,
) (CatalogueRevision, error) {
	var made CatalogueRevision
	err := a.write(ctx, actor, domain.WriteSettings, func(tx *postgres.Tx) error {
		latest, err := a.latestIfStill(ctx, tx, after)
		if err != nil {
			return err
		}
		next, err := latest.Catalogue.With(changes)
		if err != nil {
			return changeFaults(err)
		}
		if made, err = a.addRevision(ctx, tx, next, note, after); err != nil {
			return err
		}
		tx.Note(
			domain.CatalogueEdited, actor.Workshop,
			map[string]any{"revision": made.Number, "note": note, "edits": changes},
		)
		return nil
	})
	return made, err
}

// latestIfStill returns the newest revision, or a Stale Fault if it isn't the one that was read.
func (a *App) latestIfStill(
	ctx context.Context, tx *postgres.Tx, read int,
) (CatalogueRevision, error) {
	rev, err := tx.LatestRevision(ctx)
	if err != nil {
		return CatalogueRevision{}, err
	}
	if rev.Number != read {
		return CatalogueRevision{}, domain.Refuse(
			domain.Stale, "the catalogue is at revision %d now; read it again", rev.Number,
		)
	}
	return a.loadCatalogue(ctx, tx.Reader, rev)
}

// addRevision stores a checked catalogue as the revision after the given one.
func (a *App) addRevision(
	ctx context.Context, tx *postgres.Tx, c *catalogue.Catalogue, note string, after int,
) (CatalogueRevision, error) {
	hash, err := tx.KeepDocument(ctx, c.Canonical())
	if err != nil {
		return CatalogueRevision{}, err
	}
	rev, err := tx.AddRevision(ctx, after, hash, note)
	return CatalogueRevision{Revision: rev, Catalogue: c}, err
}

// catalogueFaults returns all flaws of a catalogue as faults under one pointer.
func catalogueFaults(pointer string, err error) error {
	var flaws catalogue.Flaws
	if !errors.As(err, &flaws) {
		return domain.Refuse(domain.Invalid, "%v", err)
	}
	var faults domain.Faults
	for _, p := range flaws {
		faults.Add(pointer, "%v", p)
	}
	return faults.Err()
}

// changeFaults points each problem at its change.
func changeFaults(err error) error {
	var flaws catalogue.ChangeFlaws
	if !errors.As(err, &flaws) {
		return err
	}
	var faults domain.Faults
	for _, p := range flaws {
		pointer := "#/edits"
		if p.At >= 0 {
			pointer = fmt.Sprintf("%s/%d", pointer, p.At)
		}
		if p.Member != "" {
			pointer += "/" + p.Member
		}
		faults.Add(pointer, "%v", p.Err)
	}
	return faults.Err()
}

// parseHash parses a hexadecimal hash.
func parseHash(text string) (postgres.Hash, error) {
	b, err := hex.DecodeString(text)
	if err != nil || len(b) != len(postgres.Hash{}) {
		return postgres.Hash{}, fmt.Errorf("%q isn't a SHA-256 hash", text)
	}
	return postgres.Hash(b), nil
}
