// Command velamen brings repotted, divided and mounted orchids through
// re-establishment.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
	"time"

	"velamen/internal/cli"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	os.Exit(cli.Run(ctx, os.Args[1:], cli.Streams{In: os.Stdin, Out: os.Stdout, Err: os.Stderr}, time.Now))
}
