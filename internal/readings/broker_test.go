package readings_test

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"velamen/internal/care"
	"velamen/internal/readings"
	"velamen/internal/store"
	"velamen/science/light"
)

// broker is an Eclipse Mosquitto as Debian packages it, with its state on disk.
type broker struct {
	t      *testing.T
	port   int
	folder string
	run    *exec.Cmd
}

func newBroker(t *testing.T) *broker {
	t.Helper()
	for _, tool := range []string{"mosquitto", "mosquitto_pub"} {
		if _, err := exec.LookPath(tool); err != nil {
			if os.Getenv("VELAMEN_PEERS") == "required" {
				t.Fatalf("%s is missing; install the Debian packages mosquitto and mosquitto-clients", tool)
			}
			t.Skipf("%s is not installed (Debian: mosquitto, mosquitto-clients)", tool)
		}
	}
	b := &broker{t: t, folder: t.TempDir(), port: freePort(t)}
	b.start()
	t.Cleanup(b.stop)
	return b
}

func freePort(t *testing.T) int {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().(*net.TCPAddr).Port
}

func (b *broker) start() {
	b.t.Helper()
	user := ""
	if os.Geteuid() == 0 {
		user = "user root\n"
	}
	config := filepath.Join(b.folder, "broker.conf")
	text := fmt.Sprintf("listener %d 127.0.0.1\nallow_anonymous true\npersistence true\npersistence_location %s/\nmax_queued_messages 0\n%s", b.port, b.folder, user)
	if err := os.WriteFile(config, []byte(text), 0o600); err != nil {
		b.t.Fatal(err)
	}
	b.run = exec.Command("mosquitto", "-c", config)
	if err := b.run.Start(); err != nil {
		b.t.Fatal(err)
	}
	for range 200 {
		if c, err := net.Dial("tcp", fmt.Sprintf("127.0.0.1:%d", b.port)); err == nil {
			c.Close()
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	b.t.Fatal("the broker does not answer")
}

// stop ends the broker as a service manager would: it writes its state.
func (b *broker) stop() {
	if b.run != nil {
		_ = b.run.Process.Signal(os.Interrupt)
		_ = b.run.Wait()
		b.run = nil
	}
}

// send publishes lines, each a message.
func (b *broker) send(topic string, lines []string) {
	b.t.Helper()
	c := exec.Command("mosquitto_pub", "-h", "127.0.0.1", "-p", fmt.Sprint(b.port), "-V", "5", "-q", "1", "-t", topic, "-l")
	c.Stdin = strings.NewReader(strings.Join(lines, "\n") + "\n")
	if out, err := c.CombinedOutput(); err != nil {
		b.t.Fatalf("%v: %s", err, out)
	}
}

// wire carries bytes to the broker until it is cut. While deaf it swallows what
// the listener sends, such as acknowledgements.
type wire struct {
	deaf  atomic.Bool
	mu    sync.Mutex
	conns []net.Conn
	port  int
}

func newWire(t *testing.T, to int) *wire {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	w := &wire{port: l.Addr().(*net.TCPAddr).Port}
	t.Cleanup(func() { l.Close(); w.cut() })
	go func() {
		for {
			near, err := l.Accept()
			if err != nil {
				return
			}
			far, err := net.Dial("tcp", fmt.Sprintf("127.0.0.1:%d", to))
			if err != nil {
				near.Close()
				continue
			}
			w.mu.Lock()
			w.conns = append(w.conns, near, far)
			w.mu.Unlock()
			go func() { _, _ = io.Copy(near, far); near.Close() }()
			go func() {
				defer far.Close()
				buffer := make([]byte, 4096)
				for {
					n, err := near.Read(buffer)
					if err != nil {
						return
					}
					if w.deaf.Load() {
						continue
					}
					if _, err := far.Write(buffer[:n]); err != nil {
						return
					}
				}
			}()
		}
	}()
	return w
}

// cut ends every connection; the next ones hear again.
func (w *wire) cut() {
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, c := range w.conns {
		c.Close()
	}
	w.conns = nil
	w.deaf.Store(false)
}

// keeper is a store that lets a test meddle.
type keeper struct {
	*store.Store
	before       func(care.Delivery)
	again, known atomic.Int32
}

func (k *keeper) KeepDelivered(ctx context.Context, d care.Delivery, list []care.Reading) (care.Kept, bool, error) {
	if d.Again {
		k.again.Add(1)
	}
	if k.before != nil {
		k.before(d)
	}
	kept, fresh, err := k.Store.KeepDelivered(ctx, d, list)
	if err == nil && !fresh {
		k.known.Add(1)
	}
	return kept, fresh, err
}

// listening starts a listener; stop ends it and waits.
func listening(t *testing.T, port int, k *keeper, now func() time.Time) (stop func()) {
	t.Helper()
	b, err := readings.ParseBroker(fmt.Appendf(nil, `
broker = "mqtt://127.0.0.1:%d"
session = "test"
[[topic]]
topic = "house/+/air"
space = "shelf"
source = "node"
temperature = "/t"
humidity = "/h"
at = "/at"
[[topic]]
topic = "house/plain"
space = "shelf"
source = "plain"
temperature = ". F"
`, port))
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	up := make(chan struct{}, 100)
	l := &readings.Listener{Broker: b, Into: k, LightFrom: func(string) light.Source { return light.Sun }, Now: now, Logger: slog.New(heard{up})}
	ended := make(chan error, 1)
	go func() { ended <- l.Listen(ctx) }()
	select {
	case <-up:
	case <-time.After(60 * time.Second):
		t.Fatal("the listener never subscribed")
	}
	return func() {
		cancel()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	}
}

// heard tells when the listener has subscribed.
type heard struct{ up chan struct{} }

func (heard) Enabled(context.Context, slog.Level) bool { return true }
func (h heard) WithAttrs([]slog.Attr) slog.Handler     { return h }
func (h heard) WithGroup(string) slog.Handler          { return h }
func (h heard) Handle(_ context.Context, r slog.Record) error {
	if strings.HasPrefix(r.Message, "listening") {
		select {
		case h.up <- struct{}{}:
		default:
		}
	}
	return nil
}

func newKeeper(t *testing.T) *keeper {
	t.Helper()
	s, err := store.Create(t.Context(), filepath.Join(t.TempDir(), "orchids.velamen"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return &keeper{Store: s}
}

// values are the temperatures of a source that are kept, in order of time.
func (k *keeper) values(t *testing.T, source string) (list []float64) {
	t.Helper()
	for r, err := range k.Readings(context.Background(), store.ReadingQuery{}) {
		if err != nil {
			t.Fatal(err)
		}
		if r.Source == source && r.Quantity == care.AirTemperature {
			list = append(list, r.Value)
		}
	}
	return list
}

func (k *keeper) wait(t *testing.T, source string, n int) {
	t.Helper()
	for range 600 {
		if len(k.values(t, source)) >= n {
			time.Sleep(300 * time.Millisecond) // whatever is too much would come now
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	t.Fatalf("%d readings came, want %d", len(k.values(t, source)), n)
}

// timed are messages that say when they were measured, numbered by their value.
func timed(from, until int) (lines []string) {
	for i := from; i < until; i++ {
		at := time.Now().Truncate(time.Hour).Add(time.Duration(i-1000) * time.Minute)
		lines = append(lines, fmt.Sprintf(`{"t": %.2f, "h": 55, "at": %q}`, float64(i)/100, at.UTC().Format(time.RFC3339)))
	}
	return lines
}

func numbered(until int) (want []float64) {
	for i := range until {
		want = append(want, float64(i)/100)
	}
	return want
}

// A broker that is restarted, and a listener that is away for a while, lose and
// double nothing.
func TestBrokerRestartsLoseAndDoubleNothing(t *testing.T) {
	b, k := newBroker(t), newKeeper(t)
	stop := listening(t, b.port, k, time.Now)
	b.send("house/a/air", timed(0, 40))
	k.wait(t, "node", 40)

	b.stop() // with the listener connected
	b.start()
	b.send("house/a/air", timed(40, 80)) // perhaps before it is back
	k.wait(t, "node", 80)

	stop()
	b.send("house/b/air", timed(80, 120)) // nobody listens
	b.stop()
	b.start() // what waits survives the broker too
	b.send("house/b/air", []string{"nonsense", `{"t": 99}`, `{"t": 500, "at": 1795850000}`, `{"x": 1}`})
	b.send("house/b/air", timed(120, 160))
	stop = listening(t, b.port, k, time.Now)
	defer stop()
	k.wait(t, "node", 160)
	if got := k.values(t, "node"); !slices.Equal(got, numbered(160)) {
		t.Errorf("%d readings: %v", len(got), got)
	}
}

// Messages without a time of their own are kept once although the broker sends
// them twice, because the acknowledgement of the first delivery was lost; two
// messages that say the same are two readings.
func TestLostAcknowledgementsDoubleNothing(t *testing.T) {
	b, k := newBroker(t), newKeeper(t)
	w := newWire(t, b.port)
	var clock atomic.Int64
	clock.Store(time.Now().Unix() - 100_000)
	now := func() time.Time { return time.Unix(clock.Add(1), 0) } // each delivery at a time of its own
	n := 0
	k.before = func(care.Delivery) {
		if n++; n%7 == 3 && n < 30 {
			w.deaf.Store(true) // the acknowledgement of this one is lost
			time.AfterFunc(150*time.Millisecond, w.cut)
		}
	}
	stop := listening(t, w.port, k, now)
	defer stop()
	b.send("house/plain", slices.Repeat([]string{"68", "68", "71.6"}, 10))
	k.wait(t, "plain", 30)
	got := k.values(t, "plain")
	if want := slices.Repeat([]float64{20, 20, 22}, 10); !slices.Equal(got, want) {
		t.Errorf("%d readings, want %d: %v", len(got), len(want), got)
	}
	if k.again.Load() == 0 || k.known.Load() == 0 {
		t.Errorf("nothing was delivered twice (%d marked so, %d known): the test shows nothing", k.again.Load(), k.known.Load())
	}
}
