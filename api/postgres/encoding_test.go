package postgres_test

import (
	"context"
	"errors"
	"net/url"
	"strings"
	"testing"

	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"

	"github.com/jackc/pgx/v5"
)

func TestADatabaseThatLosesAccentsIsRefusedBeforeItHoldsAny(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	admin := connect(t, db.Owner)
	name := db.Name + "_ascii"
	quoted := pgx.Identifier{name}.Sanitize()
	mustExec(t, admin, `CREATE DATABASE `+quoted+` TEMPLATE template0 ENCODING 'SQL_ASCII' LOCALE 'C'`)
	t.Cleanup(func() {
		_, _ = admin.Exec(context.WithoutCancel(t.Context()), `DROP DATABASE `+quoted)
	})
	for what, run := range map[string]func() error{
		"prepare": func() error { return postgres.Prepare(t.Context(), inDatabase(t, db.Owner, name)) },
		"migrate": func() error { return postgres.Migrate(t.Context(), inDatabase(t, db.Owner, name)) },
		"start": func() error {
			s, err := postgres.Open(t.Context(), inDatabase(t, db.Service, name), 1)
			if err == nil {
				s.Close()
			}
			return err
		},
	} {
		err := run()
		var refused *postgres.EncodingError
		if !errors.As(err, &refused) || refused.Encoding != "SQL_ASCII" ||
			!strings.Contains(err.Error(), "ENCODING 'UTF8'") {
			t.Errorf("%s: got %v, want an EncodingError that says what to do", what, err)
		}
	}
}

// inDatabase returns a URL for another database of its server.
func inDatabase(t *testing.T, databaseURL, name string) string {
	t.Helper()
	u, err := url.Parse(databaseURL)
	if err != nil {
		t.Fatal(err)
	}
	u.Path = "/" + name
	return u.String()
}
