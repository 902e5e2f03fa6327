package convert

import (
	"bentside/domain"
	"bentside/openapi"
)

// Assumption returns an assumption with the setting that it rests on.
func Assumption(a domain.Assumption) openapi.Assumption {
	return openapi.Assumption{
		Key: openapi.AssumptionKey(a.Key), Says: a.Text, Setting: a.Setting(),
	}
}
