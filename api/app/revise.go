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

// ReviseCatalogue makes a new revision of a whole catalogue after the one that
// was read. Scopes stay with the revision that they pin. Where the catalogue
// comes from, and the hashes of shipped rows, are carried over and not taken
// from c.
func (a *App) ReviseCatalogue(ctx context.Context, actor Actor, c *catalogue.Catalogue, note string, after int) (CatalogueRevision, error) {
	var made CatalogueRevision
	err := a.write(ctx, actor, domain.WriteSettings, func(tx *postgres.Tx) error {
		latest, err := a.latestAt(ctx, tx, after)
		if err != nil {
			return err
		}
		next := c.DescendedFrom(latest.Catalogue)
		if err := next.Check(); err != nil {
			return invalidCatalogue("#/document", err)
		}
		if _, err := next.Files(); err != nil {
			return invalidCatalogue("#/document", err)
		}
		made, err = a.addRevision(ctx, tx, next, note, after)
		if err != nil {
			return err
		}
		tx.Note("catalogue.revised", actor.Workshop, map[string]any{"revision": made.Number, "note": note})
		return nil
	})
	return made, err
}

// EditCatalogue makes a new revision by changes to the one that was read. What
// is wrong with them comes back all at once, each with its pointer.
func (a *App) EditCatalogue(ctx context.Context, actor Actor, changes []catalogue.Change, note string, after int) (CatalogueRevision, error) {
	var made CatalogueRevision
	err := a.write(ctx, actor, domain.WriteSettings, func(tx *postgres.Tx) error {
		latest, err := a.latestAt(ctx, tx, after)
		if err != nil {
			return err
		}
		next, err := latest.Catalogue.With(changes)
		if err != nil {
			return invalidChanges(err)
		}
		if made, err = a.addRevision(ctx, tx, next, note, after); err != nil {
			return err
		}
		tx.Note("catalogue.edited", actor.Workshop, map[string]any{"revision": made.Number, "note": note, "edits": changes})
		return nil
	})
	return made, err
}

// latestAt is the newest revision; Stale where it is not the one that was read.
func (a *App) latestAt(ctx context.Context, tx *postgres.Tx, read int) (CatalogueRevision, error) {
	rev, err := tx.LatestRevision(ctx)
	if err != nil {
		return CatalogueRevision{}, err
	}
	if rev.Number != read {
		return CatalogueRevision{}, domain.Refuse(domain.Stale, "the catalogue is at revision %d by now; read it again", rev.Number)
	}
	return a.withContent(ctx, tx.Reader, rev)
}

// addRevision keeps a checked catalogue as the revision after one.
func (a *App) addRevision(ctx context.Context, tx *postgres.Tx, c *catalogue.Catalogue, note string, after int) (CatalogueRevision, error) {
	hash, err := tx.KeepDocument(ctx, c.Canonical())
	if err != nil {
		return CatalogueRevision{}, err
	}
	rev, err := tx.AddRevision(ctx, after, hash, note)
	return CatalogueRevision{Revision: rev, Catalogue: c}, err
}

// invalidCatalogue turns what is wrong with a catalogue into faults under a
// pointer, all at once.
func invalidCatalogue(pointer string, err error) error {
	var problems catalogue.Problems
	if !errors.As(err, &problems) {
		return domain.Refuse(domain.Invalid, "%v", err)
	}
	var faults domain.Faults
	for _, p := range problems {
		faults.Add(pointer, "%v", p)
	}
	return faults.Err()
}

// invalidChanges gives each problem the pointer of its change.
func invalidChanges(err error) error {
	var problems catalogue.ChangeProblems
	if !errors.As(err, &problems) {
		return err
	}
	var faults domain.Faults
	for _, p := range problems {
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

// hashNamed reads a hash from hexadecimal.
func hashNamed(text string) (postgres.Hash, error) {
	b, err := hex.DecodeString(text)
	if err != nil || len(b) != len(postgres.Hash{}) {
		return postgres.Hash{}, fmt.Errorf("%q is no hash", text)
	}
	return postgres.Hash(b), nil
}
