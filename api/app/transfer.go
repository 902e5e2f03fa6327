package app

import (
	"context"
	"errors"
	"strings"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
)

// ExportCatalogue is one revision of the workshop's catalogue as data files.
func (a *App) ExportCatalogue(ctx context.Context, actor Actor, number int) ([]catalogue.File, error) {
	if err := actor.Require(domain.ReadMoney); err != nil {
		return nil, err
	}
	rev, err := a.CatalogueAt(ctx, actor, number)
	if err != nil {
		return nil, err
	}
	files, err := rev.Catalogue.Files()
	if err != nil {
		return nil, domain.Refuse(domain.Conflict, "revision %d cannot be written as data files: %v", number, err)
	}
	return files, nil
}

// Import is what an import comes to.
type Import struct {
	Revision postgres.Revision // the new one; the one that was read where nothing is made
	Changes  []catalogue.RowChange
}

// ImportCatalogue makes a new revision of a catalogue's data files after the
// one that was read. Everything that is wrong with the files comes back at
// once, each fault by file, line and column. A dry run makes nothing and shows
// what would change; nor does an import that changes nothing.
func (a *App) ImportCatalogue(ctx context.Context, actor Actor, files []catalogue.File, note string, dryRun bool, after int) (Import, error) {
	var out Import
	err := a.write(ctx, actor, domain.WriteSettings, func(tx *postgres.Tx) error {
		latest, err := a.latestAt(ctx, tx, after)
		if err != nil {
			return err
		}
		c, err := catalogue.LoadFiles(files)
		if err != nil {
			return invalidFiles(err)
		}
		if c.Currency != latest.Catalogue.Currency {
			return domain.Faults{{
				Pointer: "#/currency.csv/2/code",
				Detail:  "the workshop keeps " + latest.Catalogue.Currency + "; restate the prices and change the code",
			}}.Err()
		}
		next := c.DescendedFrom(latest.Catalogue)
		out = Import{Revision: latest.Revision, Changes: catalogue.RowsApart(latest.Catalogue, next)}
		if dryRun || next.Hash() == latest.Catalogue.Hash() {
			return nil
		}
		made, err := a.addRevision(ctx, tx, next, note, after)
		if err != nil {
			return err
		}
		out.Revision = made.Revision
		tx.Note("catalogue.imported", actor.Workshop, map[string]any{"revision": made.Number, "note": note, "rows": len(out.Changes)})
		return nil
	})
	return out, err
}

// invalidFiles gives each problem of data files a pointer of file, line and
// column: "#/links.csv/17/lag_hours".
func invalidFiles(err error) error {
	var problems catalogue.Problems
	if !errors.As(err, &problems) {
		return err
	}
	var faults domain.Faults
	for _, p := range problems {
		pointer := "#/" + strings.ReplaceAll(p.Where, ":", "/")
		if p.Column != "" {
			pointer += "/" + p.Column
		}
		faults.Add(pointer, "%v", p.Err)
	}
	return faults.Err()
}
