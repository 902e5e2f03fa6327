package app

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
)

// ExportCatalogue returns a revision of the workshop's catalogue as data files.
func (a *App) ExportCatalogue(
	ctx context.Context, actor Actor, number int,
) ([]catalogue.File, error) {
	if err := actor.Require(domain.ReadMoney); err != nil {
		return nil, err
	}
	rev, err := a.CatalogueAt(ctx, actor, number)
	if err != nil {
		return nil, err
	}
	files, err := rev.Catalogue.Files()
	if err != nil {
		return nil, domain.Refuse(
			domain.Conflict, "revision %d can't be written as data files: %v", number, err,
		)
	}
	return files, nil
}

// Import is the outcome of an import.
type Import struct {
	Revision postgres.Revision // the new one, or the one that was read if none was made
	Changes  []catalogue.RowChange
}

// ImportCatalogue makes the catalogue in data files the revision after the one that was read. All
// faults of the files come back together, each by file, line and column. A dry run only returns
// what would change; neither it nor an import without changes makes a revision.
func (a *App) ImportCatalogue(
	ctx context.Context, actor Actor, files []catalogue.File, note string, dryRun bool, after int,
) (Import, error) {
	var out Import
	err := a.write(ctx, actor, domain.WriteSettings, func(tx *postgres.Tx) error {
		latest, err := a.latestIfStill(ctx, tx, after)
		if err != nil {
			return err
		}
		c, err := catalogue.LoadFiles(files)
		if err != nil {
			return fileFaults(err)
		}
		if c.Currency != latest.Catalogue.Currency {
			return domain.Faults{{
				Pointer: "#/currency.csv/2/code",
				Detail: fmt.Sprintf(
					"must be the workshop's currency %s, not %s; restate the prices and change the code",
					latest.Catalogue.Currency, c.Currency,
				),
			}}.Err()
		}
		next := c.DescendedFrom(latest.Catalogue)
		out = Import{
			Revision: latest.Revision, Changes: catalogue.Diff(latest.Catalogue, next),
		}
		if dryRun || next.Hash() == latest.Catalogue.Hash() {
			return nil
		}
		made, err := a.addRevision(ctx, tx, next, note, after)
		if err != nil {
			return err
		}
		out.Revision = made.Revision
		tx.Note(
			domain.CatalogueImported, actor.Workshop,
			map[string]any{"revision": made.Number, "note": note, "rows": len(out.Changes)},
		)
		return nil
	})
	return out, err
}

// fileFaults points each problem of data files at its file, line and column, as in
// "#/links.csv/17/lag_hours".
func fileFaults(err error) error {
	var flaws catalogue.Flaws
	if !errors.As(err, &flaws) {
		return err
	}
	var faults domain.Faults
	for _, p := range flaws {
		pointer := "#/" + strings.ReplaceAll(p.Where, ":", "/")
		if p.Column != "" {
			pointer += "/" + p.Column
		}
		faults.Add(pointer, "%v", p.Err)
	}
	return faults.Err()
}
