package app

import (
	"context"
	"fmt"

	"bentside/api/postgres"
	"bentside/domain/catalogue"
)

// CatalogueRevision is a revision with the catalogue it holds.
type CatalogueRevision struct {
	postgres.Revision
	Catalogue *catalogue.Catalogue
}

// Catalogue returns the newest revision of the workshop's catalogue.
func (a *App) Catalogue(ctx context.Context, actor Actor) (CatalogueRevision, error) {
	r := a.Read(ctx, actor)
	rev, err := r.LatestRevision(ctx)
	if err != nil {
		return CatalogueRevision{}, err
	}
	return a.loadCatalogue(ctx, r, rev)
}

// CatalogueAt returns one revision of the workshop's catalogue.
func (a *App) CatalogueAt(ctx context.Context, actor Actor, number int) (CatalogueRevision, error) {
	return a.catalogueAt(ctx, a.Read(ctx, actor), number)
}

func (a *App) catalogueAt(
	ctx context.Context, r postgres.Reader, number int,
) (CatalogueRevision, error) {
	rev, err := r.Revision(ctx, number)
	if err != nil {
		return CatalogueRevision{}, err
	}
	return a.loadCatalogue(ctx, r, rev)
}

func (a *App) loadCatalogue(
	ctx context.Context, r postgres.Reader, rev postgres.Revision,
) (CatalogueRevision, error) {
	c, err := a.catalogueOf(ctx, r, rev.Document)
	return CatalogueRevision{Revision: rev, Catalogue: c}, err
}

// catalogueOf returns the catalogue stored under a hash. It caches for good, since what stands
// under a hash never changes.
func (a *App) catalogueOf(
	ctx context.Context, r postgres.Reader, hash postgres.Hash,
) (*catalogue.Catalogue, error) {
	if c, ok := a.catalogues.Load(hash); ok {
		return c.(*catalogue.Catalogue), nil //nolint:forcetypeassert // nothing else is stored there
	}
	body, err := r.Document(ctx, hash)
	if err != nil {
		return nil, err
	}
	c, err := catalogue.Parse(body)
	if err != nil {
		return nil, fmt.Errorf("read catalogue document %x: %w", hash[:6], err)
	}
	a.catalogues.Store(hash, c)
	return c, nil
}
