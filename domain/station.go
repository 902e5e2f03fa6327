package domain

import (
	"github.com/google/uuid"
)

// Station is a kind of place of which the workshop has a limited number: bench, booth, hoist,
// drying room.
type Station struct {
	ID    uuid.UUID `json:"id"`
	Name  string    `json:"name"`
	Count int       `json:"count"` // how many the workshop has
	// Room is where they stand. A station without one is a room of its own.
	Room string `json:"room,omitempty"`
}

// FloorStation is the name of the station whose count is how many instruments the shop can hold at
// once. A workshop that doesn't list it can hold any number.
const FloorStation = "floor"

const maxStationCount = 1000

// Check returns an Invalid Fault with everything wrong in a station, or nil.
func (s Station) Check() error {
	var f Faults
	f.checkName(s.Name)
	if s.Room != "" {
		f.checkNameAt("#/room", s.Room)
	}
	if s.Count < 1 || s.Count > maxStationCount {
		f.Add("#/count", "must be from 1 to %d, not %d", maxStationCount, s.Count)
	}
	return f.Err()
}
