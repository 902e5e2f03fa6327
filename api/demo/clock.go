package demo

import (
	"sync"
	"time"

	"bentside/domain"
)

// Clock is the story's clock: it stands still on the morning of a day in the workshop's zone, until
// it is set going.
type Clock struct {
	zone *time.Location

	mu    sync.Mutex
	day   domain.Date
	going time.Time // since when; zero: it stands still
}

// NewClock returns a clock that stands on the morning of Today.
func NewClock() (*Clock, error) {
	loc, err := time.LoadLocation(zone)
	if err != nil {
		return nil, err
	}
	return &Clock{zone: loc, day: Today}, nil
}

// Now returns what the clock shows.
func (c *Clock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	morning := c.day.In(c.zone).Add(8 * time.Hour)
	if c.going.IsZero() {
		return morning
	}
	return morning.Add(time.Since(c.going))
}

// Go sets the clock going.
func (c *Clock) Go() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.going = time.Now()
}

// turn turns a clock that stands still on to the morning of a later day.
func (c *Clock) turn(day domain.Date) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if day.Compare(c.day) > 0 {
		c.day = day
	}
}

func (c *Clock) today() domain.Date {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.day
}
