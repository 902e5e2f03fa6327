package main

import (
	"fmt"
	"sync"
	"sync/atomic"
	"syscall"
	"time"
)

// troubled kills so many times, at random moments, and waits each time until requests are served.
func (s *stressed) troubled(times int, kill func()) func() {
	return func() {
		for range times {
			time.Sleep(time.Duration(100+s.rng.IntN(900)) * time.Millisecond)
			s.notePeak()
			kill()
			s.ready()
		}
		time.Sleep(500 * time.Millisecond)
	}
}

func (s *stressed) killService(size stressSize) row {
	return s.underWriters(
		fmt.Sprintf("%d kills of the service", size.killsOfService), size.writers,
		s.troubled(size.killsOfService, func() {
			_ = s.cmd.Process.Kill()
			_ = s.cmd.Wait() // killed, as it was to be
			s.start()
		}),
	)
}

// killBackends kills a process that serves one of the service's connections, upon which PostgreSQL
// cuts all of them and recovers from its log.
func (s *stressed) killBackends(size stressSize) row {
	killed := 0
	r := s.underWriters(
		fmt.Sprintf("%d kills of a backend", size.killsOfBackend), size.writers,
		s.troubled(size.killsOfBackend, func() {
			if pids := s.backends(); len(pids) > 0 {
				killed++
				_ = syscall.Kill(pids[s.rng.IntN(len(pids))], syscall.SIGKILL)
			}
		}),
	)
	if killed == 0 {
		s.t.Error("no backend was found to kill")
	}
	return r
}

func (s *stressed) killPostmaster(size stressSize) row {
	return s.underWriters(
		fmt.Sprintf("%d kills of the postmaster", size.killsOfPostmaster), size.writers,
		s.troubled(size.killsOfPostmaster, func() {
			pid, _ := s.postmaster()
			_ = syscall.Kill(pid, syscall.SIGKILL)
			time.Sleep(100 * time.Millisecond) // or it would still be ready
		}),
	)
}

// floodAtARate asks for dates at three times the rate at which they can be answered.
func (s *stressed) floodAtARate(size stressSize) row {
	return s.flood("flood of dates at 3 × capacity", func(rate float64) surge {
		return surge{Rate: 3 * rate, Time: size.flood}
	})
}

func (s *stressed) floodByClients(size stressSize) row {
	return s.flood("flood of dates by 64 clients", func(float64) surge {
		return surge{Clients: 64, Time: size.flood}
	})
}

// flood floods from one workshop; what it adds to the row beside its own answers is the latency of
// another's reads.
func (s *stressed) flood(what string, load func(rate float64) surge) row {
	dates := "/v1/scopes/" + s.shops[0].shopWith(2) + "/dates"
	one := "/v1/instruments/" + s.shops[1].piano()
	const measured = 3 * time.Second
	capacity := s.shops[0].flood(dates, surge{Clients: 2, Time: measured})
	var over atomic.Bool
	var wait sync.WaitGroup
	got := &outcome{}
	wait.Go(func() {
		got = s.shops[0].flood(dates, load(float64(len(capacity.Took))/measured.Seconds()))
		over.Store(true)
	})
	time.Sleep(time.Second)
	took := s.shops[1].latencies(one, func(int) bool { return !over.Load() })
	wait.Wait()
	return row{
		what:         fmt.Sprintf("%s, %d refused; p99 of another workshop's GET", what, len(got.Refusals)),
		acknowledged: len(got.Took) + len(took), failed: got.Others, took: took,
	}
}
