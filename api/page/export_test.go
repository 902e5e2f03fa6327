package page

import "bentside/api/postgres"

// Seal and Open are the two directions of a cursor.
func (c Cursors) Seal(list string, p postgres.Place) string { return c.seal(list, p) }

// Open reads a cursor.
func (c Cursors) Open(list, cursor string) (postgres.Place, error) { return c.open(list, cursor) }
