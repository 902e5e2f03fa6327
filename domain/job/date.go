package job

import "bentside/domain"

// checkPast notes a fault unless a day has come and is within living memory.
func checkPast(f *domain.Faults, pointer string, d, today domain.Date) {
	if n := d.DaysUntil(today); d.IsZero() || n < 0 || n > domain.MaxDaysBack {
		f.Add(pointer, "must be today, %s, or earlier, at most 50 years ago", today)
	}
}
