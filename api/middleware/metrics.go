package middleware

import (
	"fmt"
	"strconv"
	"time"

	"bentside/api/app/turns"

	"github.com/labstack/echo/v4"
	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
)

// metrics are counted by route pattern and never by path, workshop or person.
type metrics struct {
	registry *prometheus.Registry
	requests *prometheus.CounterVec
	seconds  *prometheus.HistogramVec
	inFlight prometheus.Gauge
}

func newFigures(registry *prometheus.Registry, state func() turns.State) (*metrics, error) {
	m := &metrics{
		registry: registry,
		requests: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "bentside_http_requests_total", Help: "Requests answered, by method, route and status.",
		}, []string{"method", "route", "status"}),
		seconds: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name:    "bentside_http_request_duration_seconds",
			Help:    "Time from the request's head to the end of its answer.",
			Buckets: []float64{.001, .0025, .005, .01, .025, .05, .1, .25, .5, 1, 2.5, 5, 10, 20},
		}, []string{"method", "route"}),
		inFlight: prometheus.NewGauge(prometheus.GaugeOpts{
			Name: "bentside_http_requests_in_flight", Help: "Requests under way.",
		}),
	}
	own := append([]prometheus.Collector{
		m.requests, m.seconds, m.inFlight, ThisBuild().collector(),
	}, computations(state)...)
	if registry == nil {
		m.registry = prometheus.NewRegistry()
		own = append(own,
			collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	}
	for _, c := range own {
		if err := m.registry.Register(c); err != nil {
			return nil, fmt.Errorf("register the metrics: %w", err)
		}
	}
	return m, nil
}

// computations returns the metrics of the queue in which dates, drawings, prices and plans stand.
func computations(state func() turns.State) []prometheus.Collector {
	const refused = "bentside_computations_refused_total"
	help := "Computations refused, because too many wait already or by the quota of a workshop."
	reason := func(r string) prometheus.Labels { return prometheus.Labels{"reason": r} }
	return []prometheus.Collector{
		prometheus.NewGaugeFunc(prometheus.GaugeOpts{
			Name: "bentside_computations_running", Help: "Turns of computations that are taken.",
		}, func() float64 { return float64(state().Running) }),
		prometheus.NewGaugeFunc(prometheus.GaugeOpts{
			Name: "bentside_computations_waiting", Help: "Computations that wait for a turn.",
		}, func() float64 { return float64(state().Waiting) }),
		prometheus.NewCounterFunc(prometheus.CounterOpts{
			Name: refused, Help: help, ConstLabels: reason("busy"),
		}, func() float64 { return float64(state().RefusedBusy) }),
		prometheus.NewCounterFunc(prometheus.CounterOpts{
			Name: refused, Help: help, ConstLabels: reason("quota"),
		}, func() float64 { return float64(state().OverQuota) }),
	}
}

func (m *metrics) count(c echo.Context, took time.Duration) {
	method, route := c.Request().Method, routeOf(c)
	if route == unknownRoute {
		method = "" // a client can make up any
	}
	m.requests.WithLabelValues(method, route, strconv.Itoa(c.Response().Status)).Inc()
	m.seconds.WithLabelValues(method, route).Observe(took.Seconds())
}
