package convert

import (
	"bentside/api/postgres"
	"bentside/openapi"
)

// FirstChange returns the first change since what is shown was worked out; nil where there is none.
func FirstChange(m *postgres.LaterEvent) *openapi.FirstChange {
	if m == nil {
		return nil
	}
	return &openapi.FirstChange{Since: m.RecordedAt, By: string(m.Kind), Position: m.Position}
}
