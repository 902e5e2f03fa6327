package job

import (
	"bentside/domain"

	"github.com/google/uuid"
)

// checkClient adds a fault unless a party is the client whose instrument it is: nobody else's word
// counts as the client's. client is zero where the record of the instrument names none.
func checkClient(f *domain.Faults, pointer string, party, client uuid.UUID) {
	switch {
	case client == uuid.Nil:
		f.Add(pointer,
			"nobody is recorded as the client whose instrument it is; enter the party in its record first")
	case party != client:
		f.Add(pointer, "must be the client whose instrument it is, %s, not %s", client, party)
	}
}
