package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
)

// showMetrics shows metrics at an address of their own, at /metrics, until it is closed. They need
// no token: who may see them is a matter of who reaches the address. Without one it returns nil.
func showMetrics(
	ctx context.Context, address string, metrics http.Handler, log *slog.Logger,
) (io.Closer, error) {
	if address == "" {
		return nil, nil //nolint:nilnil // nothing to show and nothing to close
	}
	var lc net.ListenConfig
	l, err := lc.Listen(ctx, "tcp", address)
	if err != nil {
		return nil, fmt.Errorf("listen on %s: %w (give another --metrics-listen)", address, err)
	}
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", metrics)
	s := &http.Server{
		Handler: mux, ReadHeaderTimeout: headerTimeout, ReadTimeout: readTimeout,
		WriteTimeout: writeTimeout, IdleTimeout: idleTimeout,
	}
	go func() {
		if err := s.Serve(l); !errors.Is(err, http.ErrServerClosed) {
			log.Error("show the metrics", slog.Any("error", err))
		}
	}()
	log.Info("showing metrics", slog.String("metrics", "http://"+l.Addr().String()+"/metrics"))
	return s, nil
}
