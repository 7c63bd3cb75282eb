package main

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"time"
)

// mayMount says why no file system can be mounted here.
func mayMount() error {
	if runtime.GOOS != "linux" {
		return errors.New("needs a file system in memory, as Linux has it")
	}
	if os.Geteuid() != 0 {
		return errors.New("only root can mount a small file system")
	}
	folder, err := os.MkdirTemp("", "velamen-faults-mount-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	if err := mount("-t", "tmpfs", "-o", "size=1m", "tmpfs", folder); err != nil {
		return errors.New("mounting a small file system is not allowed here")
	}
	return unmount(folder)
}

func mount(args ...string) error {
	if out, err := exec.Command("mount", args...).CombinedOutput(); err != nil {
		return fmt.Errorf("mount %s: %w: %s", strings.Join(args, " "), err, out)
	}
	return nil
}

func unmount(folder string) error {
	if out, err := exec.Command("umount", folder).CombinedOutput(); err != nil {
		return fmt.Errorf("umount: %w: %s", err, out)
	}
	return nil
}

// smallDisk mounts a file system of a few megabytes with a collection on it.
func (h *harness) smallDisk(ctx context.Context, megabytes int) (folder, file string, remove func() error, err error) {
	folder, gone, err := h.folder()
	if err != nil {
		return "", "", nil, err
	}
	if err := mount("-t", "tmpfs", "-o", fmt.Sprintf("size=%dm", megabytes), "tmpfs", folder); err != nil {
		gone()
		return "", "", nil, err
	}
	remove = func() error { defer gone(); return unmount(folder) }
	if file, err = h.collection(ctx, folder); err != nil {
		return "", "", nil, errors.Join(err, remove())
	}
	return folder, file, remove, nil
}

// diskFull fills the disk under a server that takes entries. What it acknowledged
// stays, what it cannot keep it does not acknowledge, pages still show, and when
// there is room again it goes on by itself.
func diskFull(h *harness, ctx context.Context, rnd *rand.Rand) (t tally, err error) {
	folder, file, remove, err := h.smallDisk(ctx, 6)
	if err != nil {
		return t, err
	}
	defer func() { err = errors.Join(err, remove()) }()
	plant, s, err := h.served(ctx, file)
	if err != nil {
		return t, err
	}
	defer s.kill()
	p := newPhone(plant)
	filler, err := os.Create(filepath.Join(folder, "filler"))
	if err != nil {
		return t, err
	}
	defer filler.Close()
	blocks := make([]byte, 4096+rnd.IntN(16<<10))
	for full := false; !full; {
		if _, err := filler.Write(blocks); err != nil {
			full = true
		}
	}
	// Until the room in the log's file is used up as well.
	refused := 0
	for range 2000 {
		if len(p.waiting) == 0 {
			p.note(1 + rnd.IntN(40))
		}
		taken, err := p.send(ctx, s.address)
		if err != nil {
			return t, err
		}
		if !taken {
			if refused++; refused == 3 {
				break
			}
		}
	}
	if refused < 3 {
		return t, errors.New("the disk did not become full")
	}
	t.Struck++
	told, err := p.wasTold("507 The disk is full: Nothing of what you sent was kept; all that was kept before is there. Make room")
	if err != nil || told < refused {
		return t, fmt.Errorf("of %d refusals %d say what is wrong and what to do: %w", refused, told, err)
	}
	t.count("refused as the disk is full", told)
	for _, path := range []string{"", "collection", "plant/" + plant} {
		if status, text, err := page(ctx, s.address, path); err != nil || status != 200 || len(text) == 0 {
			return t, fmt.Errorf("with the disk full /%s gives %d, %v", path, status, err)
		}
	}
	if err := h.sound(ctx, file); err != nil {
		return t, err
	}
	// A backup has no room, says so, and leaves nothing.
	if told, err := h.run(ctx, "backup", file, filepath.Join(folder, "copy")); err != nil || told.code == 0 {
		return t, fmt.Errorf("a backup without room ended with %d, %v", told.code, err)
	}
	if left, err := leftovers(folder, "orchids.velamen", "filler"); err != nil || len(left) > 0 {
		return t, fmt.Errorf("a backup without room left %s, %v", strings.Join(left, ", "), err)
	}
	if err := filler.Truncate(0); err != nil {
		return t, err
	}
	if err := p.empty(ctx, s.address, time.Minute); err != nil {
		return t, fmt.Errorf("with room again: %w", err)
	}
	if err := s.stop(); err != nil {
		return t, err
	}
	now, err := p.check(ctx, file)
	t.add(now)
	return t, errors.Join(err, h.sound(ctx, file))
}

// diskReadOnly opens a collection on a disk that cannot be written: serving says
// why it cannot, looking works.
func diskReadOnly(h *harness, ctx context.Context, rnd *rand.Rand) (t tally, err error) {
	folder, file, remove, err := h.smallDisk(ctx, 8)
	if err != nil {
		return t, err
	}
	defer func() { err = errors.Join(err, remove()) }()
	backup := filepath.Join(folder, "copy")
	if err := h.must(ctx, "backup", file, backup); err != nil {
		return t, err
	}
	want, err := contentOf(ctx, file)
	if err != nil {
		return t, err
	}
	if err := mount("-o", "remount,ro", folder); err != nil {
		return t, err
	}
	t.Struck++
	for _, args := range [][]string{{"serve", file, "--address", "127.0.0.1:0"}, {"init", filepath.Join(folder, "new")}, {"backup", file, filepath.Join(folder, "other")}} {
		told, err := h.run(ctx, args...)
		if err != nil || told.code == 0 || !strings.Contains(told.err, "read-only") {
			return t, fmt.Errorf("velamen %s ended with %d, %v, saying %q", args[0], told.code, err, told.err)
		}
	}
	other, gone, err := h.folder()
	if err != nil {
		return t, err
	}
	defer gone()
	// Of the collection itself and of its backup everything can be had.
	for _, name := range []string{file, backup} {
		if err := h.sound(ctx, name); err != nil {
			return t, err
		}
		to := filepath.Join(other, filepath.Base(name))
		if err := h.must(ctx, "restore", name, to); err != nil {
			return t, err
		}
		if got, err := contentOf(ctx, to); err != nil || got != want {
			return t, fmt.Errorf("%s came back otherwise: %v", filepath.Base(name), err)
		}
	}
	return t, nil
}

// lockedByAnother lets another program hold the database's lock while entries
// arrive, for a moment or longer than the server waits.
func lockedByAnother(h *harness, ctx context.Context, rnd *rand.Rand) (t tally, err error) {
	_, file, remove, err := h.home(ctx)
	if err != nil {
		return t, err
	}
	defer remove()
	plant, s, err := h.served(ctx, file)
	if err != nil {
		return t, err
	}
	defer s.kill()
	p, stop := newPhone(plant), make(chan struct{})
	own := rand.New(rand.NewPCG(rnd.Uint64(), 1))
	var sender sync.WaitGroup
	var sending error
	sender.Go(func() { sending = p.sending(ctx, s.address, own, stop) })
	for _, hold := range []time.Duration{moment(rnd, time.Second), 5*time.Second + moment(rnd, 2*time.Second)} {
		release, err := holdLock(ctx, file)
		if err != nil {
			return t, err
		}
		t.Struck++
		time.Sleep(hold)
		status, _, pageErr := page(ctx, s.address, "collection")
		if err := release(); err != nil {
			return t, err
		}
		if pageErr != nil || status != 200 {
			return t, fmt.Errorf("a page while the database is locked: %d, %w", status, pageErr)
		}
		time.Sleep(100 * time.Millisecond)
	}
	close(stop)
	sender.Wait()
	if err := errors.Join(sending, p.empty(ctx, s.address, time.Minute), s.stop()); err != nil {
		return t, err
	}
	refused, err := p.wasTold("503 Another program holds the collection: Nothing of what you sent was kept; all that was kept before is there. Close the other program")
	if err != nil {
		return t, err
	}
	t.count("refused as another program held it", refused)
	now, err := p.check(ctx, file)
	t.add(now)
	return t, errors.Join(err, h.sound(ctx, file))
}

// twoServers starts a second server on a file, by its name and by a link to it,
// and kills the first: only then may another take its place.
func twoServers(h *harness, ctx context.Context, rnd *rand.Rand) (t tally, err error) {
	folder, file, remove, err := h.home(ctx)
	if err != nil {
		return t, err
	}
	defer remove()
	link := filepath.Join(folder, "link.velamen")
	if err := os.Symlink(file, link); err != nil {
		return t, err
	}
	first, err := h.serve(ctx, file)
	if err != nil {
		return t, err
	}
	defer first.kill()
	for _, name := range []string{file, link} {
		t.Struck++
		told, err := h.run(ctx, "serve", name, "--address", "127.0.0.1:0")
		if err != nil || told.code != 2 || !strings.Contains(told.err, "open in another velamen") {
			return t, fmt.Errorf("a second server ended with %d, %v, saying %q", told.code, err, told.err)
		}
	}
	if rnd.IntN(2) == 0 {
		first.kill()
	} else if err := first.stop(); err != nil {
		return t, err
	}
	second, err := h.serve(ctx, link)
	if err != nil {
		return t, err
	}
	return t, errors.Join(second.stop(), h.sound(ctx, file))
}
