package job

import "bentside/domain"

// maxDaysBack is how many days ago anything that is recorded can have happened: 50 years.
const maxDaysBack = 50 * 366

// checkPast notes a fault unless a day has come and is within living memory.
func checkPast(f *domain.Faults, pointer string, d, today domain.Date) {
	if n := d.DaysUntil(today); d.IsZero() || n < 0 || n > maxDaysBack {
		f.Add(pointer, "must be today, %s, or earlier, at most 50 years ago", today)
	}
}
