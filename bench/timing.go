package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"slices"
	"strings"
	"syscall"
	"time"
)

// cost is what a piece of work took.
type cost struct {
	CPU  time.Duration // of all threads, user and system
	Wall time.Duration
}

func (c cost) per(n int) cost { return cost{c.CPU / time.Duration(n), c.Wall / time.Duration(n)} }

// median takes each figure's own median.
func median(costs []cost) cost {
	middle := func(of func(cost) time.Duration) time.Duration {
		list := make([]time.Duration, len(costs))
		for i, c := range costs {
			list[i] = of(c)
		}
		slices.Sort(list)
		return list[len(list)/2]
	}
	return cost{middle(func(c cost) time.Duration { return c.CPU }), middle(func(c cost) time.Duration { return c.Wall })}
}

// here measures a piece of work of this process.
func here(work func() error) (cost, error) {
	before, begun := ownCPU(), time.Now()
	err := work()
	return cost{ownCPU() - before, time.Since(begun)}, err
}

// repeated is here, several times.
func repeated(times int, work func() error) (cost, error) {
	costs := make([]cost, times)
	for i := range costs {
		var err error
		if costs[i], err = here(work); err != nil {
			return cost{}, err
		}
	}
	return median(costs), nil
}

func ownCPU() time.Duration {
	var usage syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &usage) != nil {
		return 0
	}
	return time.Duration(usage.Utime.Nano() + usage.Stime.Nano())
}

// program runs a program to its end and returns what it printed and took, and
// the most memory it held, in bytes.
func program(ctx context.Context, dir string, input string, name string, args ...string) (out string, c cost, memory int64, err error) {
	command := exec.CommandContext(ctx, name, args...)
	command.Dir = dir
	command.Stdin = strings.NewReader(input)
	var printed, problems bytes.Buffer
	command.Stdout, command.Stderr = &printed, &problems
	command.Env = append(os.Environ(), "OMP_NUM_THREADS=1", "OPENBLAS_NUM_THREADS=1")
	begun := time.Now()
	err = command.Run()
	c.Wall = time.Since(begun)
	if err != nil {
		return "", c, 0, fmt.Errorf("%s: %w: %s", name, err, lastLines(problems.String(), 5))
	}
	c.CPU = command.ProcessState.UserTime() + command.ProcessState.SystemTime()
	if usage, ok := command.ProcessState.SysUsage().(*syscall.Rusage); ok {
		memory = usage.Maxrss << 10 // Linux counts in KiB
	}
	return printed.String(), c, memory, nil
}

func lastLines(text string, n int) string {
	lines := strings.Split(strings.TrimSpace(text), "\n")
	return strings.Join(lines[max(0, len(lines)-n):], " | ")
}
