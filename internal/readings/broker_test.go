package readings_test

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"math/rand/v2"
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

// freePort finds a port where nothing listens, below those that the system gives
// to connections of its own: between a stop and a start nobody else takes it.
func freePort(t *testing.T) int {
	t.Helper()
	for range 100 {
		port := 20_000 + rand.IntN(10_000)
		if l, err := net.Listen("tcp", fmt.Sprintf("127.0.0.1:%d", port)); err == nil {
			l.Close()
			return port
		}
	}
	t.Fatal("no port is free")
	return 0
}

// patience is how long something that is sure to come is waited for, however
// slow the machine: only a fault takes as long.
const patience = 3 * time.Minute

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
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		if c, err := net.Dial("tcp", fmt.Sprintf("127.0.0.1:%d", b.port)); err == nil {
			c.Close()
			return
		}
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

// wire carries packets to the broker. The acknowledgements it is to lose, counted
// over all its connections, never arrive: with each it cuts the connection, so
// that the broker has to send the message again over the next.
type wire struct {
	port   int
	lose   []int // from 1
	lost   chan struct{}
	passed atomic.Int32 // acknowledgements seen

	mu    sync.Mutex
	conns []net.Conn
}

func newWire(t *testing.T, to int, lose ...int) *wire {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	w := &wire{port: l.Addr().(*net.TCPAddr).Port, lose: lose, lost: make(chan struct{}, len(lose))}
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
				defer near.Close()
				defer far.Close()
				w.carry(far, bufio.NewReader(near))
			}()
		}
	}()
	return w
}

// carry passes packets on until the connection ends or one of them is to be
// lost.
func (w *wire) carry(far io.Writer, near *bufio.Reader) {
	const acknowledgement = 4 // PUBACK (MQTT 5.0, 2.1.2)
	for {
		packet, err := nextPacket(near)
		if err != nil {
			return
		}
		if packet[0]>>4 == acknowledgement && slices.Contains(w.lose, int(w.passed.Add(1))) {
			w.lost <- struct{}{}
			return
		}
		if _, err := far.Write(packet); err != nil {
			return
		}
	}
}

// nextPacket reads a control packet: a byte of type and flags, the length of the
// rest in groups of seven bits, the lowest first, and the rest (MQTT 5.0, 2.1).
func nextPacket(from *bufio.Reader) ([]byte, error) {
	kind, err := from.ReadByte()
	if err != nil {
		return nil, err
	}
	packet, length := []byte{kind}, 0
	for shift := 0; ; shift += 7 {
		group, err := from.ReadByte()
		if err != nil {
			return nil, err
		}
		packet = append(packet, group)
		length |= int(group&0x7f) << shift
		if group < 0x80 {
			break
		}
		if shift == 21 {
			return nil, errors.New("a length of more than four bytes")
		}
	}
	rest := make([]byte, length)
	if _, err := io.ReadFull(from, rest); err != nil {
		return nil, err
	}
	return append(packet, rest...), nil
}

// cut ends every connection.
func (w *wire) cut() {
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, c := range w.conns {
		c.Close()
	}
	w.conns = nil
}

// keeper is a store that counts what it is given twice, and may refuse.
type keeper struct {
	*store.Store
	before       func() error
	again, known atomic.Int32
}

func (k *keeper) KeepDelivered(ctx context.Context, d care.Delivery, list []care.Reading) (care.Kept, bool, error) {
	if d.Again {
		k.again.Add(1)
	}
	if k.before != nil {
		if err := k.before(); err != nil {
			return care.Kept{}, false, err
		}
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
	case <-time.After(patience):
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

// wait waits for the first n readings of a source. What the broker sends again
// comes before what it was given later: what is too much is there when a message
// sent afterwards is (MQTT 5.0, 4.6).
func (k *keeper) wait(t *testing.T, source string, n int) {
	t.Helper()
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		if len(k.values(t, source)) >= n {
			return
		}
	}
	t.Fatalf("%d readings came, want %d", len(k.values(t, source)), n)
}

// measured is before all that is sent; one for all, however long a test takes.
var measured = time.Now().Truncate(time.Hour).Add(-1000 * time.Minute)

// timed are messages that say when they were measured, numbered by their value.
func timed(from, until int) (lines []string) {
	for i := from; i < until; i++ {
		at := measured.Add(time.Duration(i) * time.Minute)
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
	b.send("house/b/air", timed(160, 161))
	k.wait(t, "node", 161)
	if got := k.values(t, "node"); !slices.Equal(got, numbered(161)) {
		t.Errorf("%d readings: %v", len(got), got)
	}
}

// Messages without a time of their own are kept once although the broker sends
// them twice, because the acknowledgement of the first delivery was lost; two
// messages that say the same are two readings.
func TestLostAcknowledgementsDoubleNothing(t *testing.T) {
	b, k := newBroker(t), newKeeper(t)
	lose := []int{3, 10, 11, 24}
	w := newWire(t, b.port, lose...)
	var clock atomic.Int64
	clock.Store(time.Now().Unix() - 100_000)
	now := func() time.Time { return time.Unix(clock.Add(1), 0) } // each delivery at a time of its own
	stop := listening(t, w.port, k, now)
	defer stop()
	b.send("house/plain", slices.Repeat([]string{"68", "68", "71.6"}, 10))
	for i := range lose {
		select {
		case <-w.lost:
		case <-time.After(patience):
			t.Fatalf("%d acknowledgements came, %d of them were lost; want %d lost", w.passed.Load(), i, len(lose))
		}
	}
	b.send("house/plain", []string{"50"}) // comes after all that is sent again
	k.wait(t, "plain", 31)
	got := k.values(t, "plain")
	if want := append(slices.Repeat([]float64{20, 20, 22}, 10), 10); !slices.Equal(got, want) {
		t.Errorf("%d readings, want %d: %v", len(got), len(want), got)
	}
	if again, known := k.again.Load(), k.known.Load(); again < known || int(known) < len(lose) {
		t.Errorf("%d deliveries marked as sent again, %d known; want all %d whose acknowledgement was lost", again, known, len(lose))
	}
}

// Everything that waited with the broker comes in one piece with its welcome. All
// of it is acknowledged, in order; but nothing from the first on that cannot be
// kept before the listener ends, which comes again to the next.
func TestWhatComesAtOnceIsAcknowledgedOnceKept(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	b, err := readings.ParseBroker(fmt.Appendf(nil, `
broker = "mqtt://%s"
session = "test"
[[topic]]
topic = "house/plain"
space = "shelf"
source = "plain"
temperature = ". F"
`, l.Addr()))
	if err != nil {
		t.Fatal(err)
	}
	const messages = 20
	k := newKeeper(t)
	listen := func(ctx context.Context) (acknowledged []uint16, err error) {
		ctx, cancel := context.WithCancel(ctx)
		defer cancel()
		one := &readings.Listener{Broker: b, Into: k, LightFrom: func(string) light.Source { return light.Sun }, Now: time.Now, Logger: slog.New(slog.DiscardHandler)}
		ended := make(chan error, 1)
		go func() { ended <- one.Listen(ctx) }()
		conn, err := l.Accept()
		if err != nil {
			return nil, err
		}
		acknowledged = welcome(conn, messages)
		conn.Close()
		cancel()
		return acknowledged, <-ended
	}
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	given := 0
	k.before = func() error {
		if given++; given > 6 { // every other message holds something to keep
			cancel()
			return errors.New("the disk is full")
		}
		return nil
	}
	if got, err := listen(ctx); err != nil || len(got) > 12 || !slices.Equal(got, first(len(got))) {
		t.Errorf("acknowledged, with the disk full after 12 messages: %v, %v", got, err)
	}
	k.before = nil
	if got, err := listen(t.Context()); err != nil || !slices.Equal(got, first(messages)) {
		t.Errorf("acknowledged: %v, %v; want %d in order", got, err, messages)
	}
}

// first are the first packet identifiers.
func first(n int) (list []uint16) {
	for i := range n {
		list = append(list, uint16(i+1))
	}
	return list
}

// welcome plays a broker with messages that wait, and returns the packet
// identifiers that were acknowledged.
func welcome(conn net.Conn, messages int) (acknowledged []uint16) {
	from := bufio.NewReader(conn)
	if _, err := nextPacket(from); err != nil {
		return nil
	}
	send := []byte{0x20, 3, 1, 0, 0} // CONNACK: the session is present
	for i := range messages {
		topic, content := "house/plain", "nonsense"
		if i%2 == 0 {
			content = fmt.Sprint(60 + i)
		}
		send = append(send, 0x32, byte(2+len(topic)+2+1+len(content)), 0, byte(len(topic))) // PUBLISH
		send = append(send, topic...)
		send = append(send, 0, byte(i+1), 0)
		send = append(send, content...)
	}
	if _, err := conn.Write(send); err != nil {
		return nil
	}
	// The broker of a listener that forgot some waits for ever; here not quite.
	if err := conn.SetReadDeadline(time.Now().Add(patience)); err != nil {
		return nil
	}
	for len(acknowledged) < messages {
		packet, err := nextPacket(from)
		if err != nil {
			return acknowledged
		}
		switch packet[0] >> 4 {
		case 4: // PUBACK
			acknowledged = append(acknowledged, uint16(packet[2])<<8|uint16(packet[3]))
		case 8: // SUBSCRIBE, answered so that nothing else goes on
			_, _ = conn.Write([]byte{0x90, 5, packet[2], packet[3], 0, 1, 1})
		}
	}
	return acknowledged
}
