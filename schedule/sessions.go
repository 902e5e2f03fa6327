package schedule

// Sessions splits an activity's work into n sessions with at least gap of elapsed time between the end of one and the start of the next
// (shellac bodying, chipping up, tuning passes).
func Sessions(whole Activity, n int, gap Minutes) ([]Activity, []Link, error) { return nil, nil, nil }
