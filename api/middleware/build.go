package middleware

import (
	"runtime/debug"

	"github.com/prometheus/client_golang/prometheus"
)

// Build is which program this is.
type Build struct {
	Version  string // of the module; "(devel)" for one built from a working copy
	Revision string // of the source, with "+changed" where files differ from it; "unknown" without
	Go       string // of the compiler
}

// ThisBuild returns the build of the running program.
func ThisBuild() Build {
	b := Build{Version: "(devel)", Revision: "unknown"}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return b
	}
	b.Go = info.GoVersion
	if info.Main.Version != "" {
		b.Version = info.Main.Version
	}
	changed := ""
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision":
			b.Revision = s.Value
		case s.Key == "vcs.modified" && s.Value == "true":
			changed = "+changed"
		}
	}
	b.Revision += changed
	return b
}

// collector shows the build as a metric that is always 1, by whose labels others can be joined.
func (b Build) collector() prometheus.Collector {
	g := prometheus.NewGauge(prometheus.GaugeOpts{
		Name: "bentside_build_info", Help: "Which program this is; always 1.",
		ConstLabels: prometheus.Labels{
			"version": b.Version, "revision": b.Revision, "go": b.Go,
		},
	})
	g.Set(1)
	return g
}
