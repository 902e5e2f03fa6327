package postgres

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"github.com/golang-migrate/migrate/v4/database"
	"github.com/golang-migrate/migrate/v4/source"
	"github.com/jackc/pgx/v5/pgconn"
)

// mend finds out which version a schema has whose migration was cut short in an earlier program,
// and records it. That program committed mark, SQL and mark separately, each whole: the schema is
// at the marked version, one before it (going up was cut short) or one after it (going down).
func (t *target) mend(files source.Driver) error {
	marked, underWay, err := t.Version()
	if err != nil || !underWay {
		return err
	}
	versions, err := allVersions(files)
	if err != nil {
		return err
	}
	at := slices.Index(versions, marked)
	if at < 0 {
		return fmt.Errorf(
			"a migration to version %d was cut short, which this program doesn't know: run `bentside migrate` of the program that began it", marked,
		)
	}
	for n := min(at+1, len(versions)-1); n >= max(at, 1); n-- {
		has, err := t.has(files, versions[n])
		if err != nil {
			return err
		}
		if has {
			return t.SetVersion(versions[n], false)
		}
	}
	return t.SetVersion(versions[max(at-1, 0)], false)
}

// allVersions returns the versions that a schema can have, from none at all to the latest.
func allVersions(files source.Driver) ([]int, error) {
	versions := []int{database.NilVersion}
	v, err := files.First()
	for err == nil {
		versions = append(versions, int(v)) //nolint:gosec // numbers of four digits
		v, err = files.Next(v)
	}
	if !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("list the migrations: %w", err)
	}
	return versions, nil
}

// has reports whether a migration has run: running it again would make what exists already. What
// it does here is undone.
func (t *target) has(files source.Driver, version int) (bool, error) {
	body, _, err := files.ReadUp(uint(version)) //nolint:gosec // a number from the list of files
	if err != nil {
		return false, fmt.Errorf("read migration %d: %w", version, err)
	}
	defer body.Close() //nolint:errcheck // only read
	if err := t.SetVersion(version, true); err != nil {
		return false, err
	}
	err = t.Run(body)
	var refused *pgconn.PgError
	switch {
	case err == nil:
		return false, t.Unlock()
	case errors.As(err, &refused) && aboutTheSchema(refused.Code):
		return slices.Contains(alreadyThere, refused.Code), t.Unlock()
	}
	return false, errors.Join(err, t.Unlock())
}

// aboutTheSchema reports whether an SQLSTATE says something about tables and rows, and not that a
// lock wasn't to be had or the server is stopping.
func aboutTheSchema(code string) bool {
	return strings.HasPrefix(code, "42") || strings.HasPrefix(code, "23")
}

// alreadyThere are the SQLSTATEs with which PostgreSQL refuses a second table or index, column,
// function, and other object of one name.
var alreadyThere = []string{"42P07", "42701", "42723", "42710"}
