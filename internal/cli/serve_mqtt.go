package cli

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"

	"velamen/internal/readings"
	"velamen/internal/store"
	"velamen/internal/web"
)

// listen takes readings from a broker while the pages are served, if one was
// named. The function it returns ends that and waits.
func (c serveCommand) listen(r *run, pages *web.Server, kept *store.Store, logger *slog.Logger) (end func(), err error) {
	if c.MQTT == "" {
		return func() {}, nil
	}
	text, err := os.ReadFile(c.MQTT)
	if errors.Is(err, os.ErrNotExist) {
		return nil, fmt.Errorf("there is no file %s", c.MQTT)
	}
	if err != nil {
		return nil, failed("reading the file of the broker", err)
	}
	broker, err := readings.ParseBroker(text)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", c.MQTT, err)
	}
	for i := range broker.Topics {
		name, err := pages.SpaceNamed(broker.Topics[i].Space)
		if err != nil {
			return nil, fmt.Errorf("%s: topic %q: %w", c.MQTT, broker.Topics[i].Topic, err)
		}
		broker.Topics[i].Space = name
	}
	ctx, stop := context.WithCancel(r.ctx)
	changed := make(chan struct{}, 1)
	l := &readings.Listener{
		Broker: broker, Into: kept, LightFrom: pages.LightFrom, Now: r.now, Logger: logger,
		Kept: func() {
			select {
			case changed <- struct{}{}:
			default:
			}
		},
	}
	done := make(chan struct{}, 2)
	go func() {
		if err := l.Listen(ctx); err != nil {
			logger.Error("readings are not taken from the broker", "error", err)
		}
		done <- struct{}{}
	}()
	go func() {
		defer func() { done <- struct{}{} }()
		for {
			select {
			case <-changed:
				// Many messages are summarised together.
				if err := pages.Settle(ctx); err != nil && ctx.Err() == nil {
					logger.Error("readings are not summarised", "error", err)
				}
			case <-ctx.Done():
				return
			}
		}
	}()
	return func() { stop(); <-done; <-done }, nil
}
