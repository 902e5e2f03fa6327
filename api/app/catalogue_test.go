package app_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
)

func TestARevisionKeepsItsOriginAndHoldsTogether(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	s := openShop(t)
	first, err := s.app.Catalogue(ctx, s.who)
	s.ok(err)
	before := effects(t, s.app, s.who)
	broken := *first.Catalogue
	broken.Operations = broken.Operations[1:]
	if _, err := s.app.ReviseCatalogue(
		ctx, s.who, &broken, "", 1,
	); faultKind(err) != domain.Invalid || !slices.Contains(pointers(err), "#/document") {
		t.Errorf("without an operation that others refer to: got %v, want faults at #/document", err)
	}
	_, err = s.app.EditCatalogue(ctx, s.who, []catalogue.Change{
		{Set: &catalogue.Setting{Operation: "BD-02", Crew: 2}, Why: "heavy"},
		{Set: &catalogue.Setting{Operation: "XX-99", Crew: 2}, Why: "heavy"},
	}, "", 1)
	if faultKind(err) != domain.Invalid || len(pointers(err)) != 1 ||
		!strings.HasPrefix(pointers(err)[0], "#/edits/1") {
		t.Errorf("an edit of no operation: got %v at %v, want a fault at its place", err, pointers(err))
	}
	wantEffects(t, s.app, s.who, before)
	foreign := *first.Catalogue
	foreign.Origin = nil
	made, err := s.app.ReviseCatalogue(ctx, s.who, &foreign, "the same", 1)
	s.ok(err)
	stored, err := s.app.CatalogueAt(ctx, s.who, made.Number)
	s.ok(err)
	if stored.Catalogue.Origin == nil ||
		stored.Catalogue.Origin.Document != first.Catalogue.Origin.Document {
		t.Errorf("the revision's origin is %+v, want that of the one before", stored.Catalogue.Origin)
	}
	if _, err := s.app.CatalogueAt(ctx, s.who, 9); faultKind(err) != domain.NotFound {
		t.Errorf("a revision that there isn't: got %v", err)
	}
}

func TestAnImportMakesARevisionOnlyIfItChangesSomething(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	s := openShop(t)
	files, err := s.app.ExportCatalogue(ctx, s.who, 1)
	s.ok(err)
	replaced := func(name, old, with string) []catalogue.File {
		list := slices.Clone(files)
		for i, f := range list {
			if f.Name == name {
				if !strings.Contains(string(f.Body), old) {
					t.Fatalf("%s lacks %q", name, old)
				}
				list[i].Body = []byte(strings.Replace(string(f.Body), old, with, 1))
			}
		}
		return list
	}
	slower := replaced("links.csv", "DS-02,DS-03,FS,,hard", "DS-02,DS-03,FS,24,hard")
	before := effects(t, s.app, s.who)
	for name, c := range map[string]struct {
		files   []catalogue.File
		dry     bool
		changes int
	}{
		"the same files": {files, false, 0}, "a dry run": {slower, true, 1},
	} {
		out, err := s.app.ImportCatalogue(ctx, s.who, c.files, "", c.dry, 1)
		s.ok(err)
		if out.Revision.Number != 1 || len(out.Changes) != c.changes {
			t.Errorf("%s: revision %d with %d changes, want 1 with %d", name, out.Revision.Number,
				len(out.Changes), c.changes)
		}
	}
	if _, err := s.app.ImportCatalogue(
		ctx, s.who, replaced("currency.csv", "EUR", "USD"), "", false, 1,
	); !slices.Equal(pointers(err), []string{"#/currency.csv/2/code"}) {
		t.Errorf("in another currency: got %v, want a fault at its cell", err)
	}
	wantEffects(t, s.app, s.who, before)
	out, err := s.app.ImportCatalogue(ctx, s.who, slower, "a day", false, 1)
	s.ok(err)
	if out.Revision.Number != 2 || out.Revision.Note != "a day" || len(out.Changes) != 1 {
		t.Errorf("got %+v, want revision 2", out)
	}
	for _, dry := range []bool{false, true} {
		if _, err := s.app.ImportCatalogue(
			ctx, s.who, files, "", dry, 1,
		); faultKind(err) != domain.Stale {
			t.Errorf("after revision 1 again, dry %v: got %v, want it stale", dry, err)
		}
	}
}
