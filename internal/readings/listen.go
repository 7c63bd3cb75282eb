package readings

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"log/slog"
	"net/url"
	"os"
	"sync/atomic"
	"time"

	"github.com/eclipse/paho.golang/autopaho"
	"github.com/eclipse/paho.golang/packets"
	"github.com/eclipse/paho.golang/paho"
	"github.com/eclipse/paho.golang/paho/session/state"

	"velamen/internal/care"
	"velamen/science/light"
)

// Delivered keeps the readings of messages, each once.
type Delivered interface {
	KeepDelivered(ctx context.Context, d care.Delivery, list []care.Reading) (kept care.Kept, fresh bool, err error)
}

// Listener takes readings from a broker until its context ends.
type Listener struct {
	Broker    Broker
	Into      Delivered
	LightFrom func(space string) light.Source // what shines there, for lux
	Kept      func()                          // told after readings were kept; may be nil
	Now       func() time.Time
	Logger    *slog.Logger
}

// How long the broker keeps what comes while nobody listens, how long one try to
// reach it may take, and when keeping is tried again.
const (
	sessionSeconds = 7 * 24 * 3600
	connectTime    = 10 * time.Second
	retryKeep      = 2 * time.Second
)

// Listen subscribes to the topics of a broker and keeps what comes (MQTT 5.0,
// quality of service 1 in a session that outlasts connections). A message is
// acknowledged only after its readings are on the disk, in the order in which
// messages came; one that the broker sends again because the acknowledgement was
// lost is told by its packet identifier and content, and kept once. What cannot
// be read is reported and acknowledged, or it would come for ever. Listen
// returns when the context ends.
func (l *Listener) Listen(ctx context.Context) error {
	address, err := url.Parse(l.Broker.Broker)
	if err != nil {
		return fmt.Errorf("the address of the broker: %w", err)
	}
	config := autopaho.ClientConfig{
		ServerUrls: []*url.URL{address}, KeepAlive: 30, SessionExpiryInterval: sessionSeconds,
		ConnectTimeout: connectTime, ReconnectBackoff: retryDelay,
		ConnectUsername: l.Broker.Username,
		OnConnectError:  func(err error) { l.Logger.Warn("the broker of readings cannot be reached; trying again", "error", err) },
	}
	if l.Broker.PasswordFile != "" {
		text, err := os.ReadFile(l.Broker.PasswordFile)
		if err != nil {
			return fmt.Errorf("reading the password of the broker: %w", err)
		}
		line, _, _ := bytes.Cut(text, []byte("\n"))
		config.ConnectPassword = bytes.TrimRight(line, "\r")
	}
	config.OnConnectionUp = func(m *autopaho.ConnectionManager, _ *paho.Connack) {
		go l.subscribe(ctx, m)
	}
	kept := &keptOnly{State: state.NewInMemory()}
	config.ClientConfig = paho.ClientConfig{
		ClientID: l.Broker.Session, Session: kept,
		OnPublishReceived: []func(paho.PublishReceived) (bool, error){func(p paho.PublishReceived) (bool, error) {
			if !l.take(ctx, p.Packet) {
				kept.ended.Store(true)
			}
			return true, nil
		}},
	}
	m, err := autopaho.NewConnection(ctx, config)
	if err != nil {
		return fmt.Errorf("preparing the connection to the broker: %w", err)
	}
	<-m.Done()
	return kept.Close()
}

// keptOnly is the session with the broker. The client acknowledges each message
// after it was taken, in order; once one could not be kept because the listener
// ends, it and those after it stay unacknowledged and come again. (The client's
// way to acknowledge later, at will, forgets what arrives while it is still
// connecting: paho.golang 0.23.0 clears its list after it began to read. The
// broker then waits for ever.)
type keptOnly struct {
	*state.State
	ended atomic.Bool
}

var errEnded = errors.New("the listener ends; the message is not kept")

// Ack sends the acknowledgement of a message.
func (k *keptOnly) Ack(p *packets.Publish) error {
	if k.ended.Load() {
		return errEnded
	}
	return k.State.Ack(p)
}

// subscribe asks for the topics. Retained messages are not sent again at every
// connection: they are old.
func (l *Listener) subscribe(ctx context.Context, m *autopaho.ConnectionManager) {
	ctx, stop := context.WithTimeout(ctx, connectTime)
	defer stop()
	s := &paho.Subscribe{}
	for _, t := range l.Broker.Topics {
		s.Subscriptions = append(s.Subscriptions, paho.SubscribeOptions{Topic: t.Topic, QoS: 1, RetainHandling: 2, RetainAsPublished: true})
	}
	if _, err := m.Subscribe(ctx, s); err != nil && ctx.Err() == nil {
		l.Logger.Error("the broker refuses a subscription to readings", "error", err)
		return
	}
	l.Logger.Info("listening for readings", "broker", l.Broker.Broker, "topics", len(s.Subscriptions))
}

// take keeps one message, or reports false when the listener ends first. While it
// cannot be kept it is tried again: the broker holds back what comes after it.
func (l *Listener) take(ctx context.Context, p *paho.Publish) bool {
	list, err := l.Read(p.Topic, p.Payload, p.Retain)
	if err != nil {
		l.Logger.Warn("a message of the broker is left out", "topic", p.Topic, "error", err)
	}
	d := care.Delivery{Client: l.Broker.Session, Packet: p.PacketID, Again: p.Duplicate(), Digest: digestOfMessage(p)}
	for len(list) > 0 {
		_, _, err := l.Into.KeepDelivered(ctx, d, list)
		if err == nil {
			if l.Kept != nil {
				l.Kept()
			}
			break
		}
		if ctx.Err() != nil {
			return false
		}
		l.Logger.Error("readings of the broker cannot be kept; trying again", "error", err)
		select {
		case <-time.After(retryKeep):
		case <-ctx.Done():
			return false
		}
	}
	return true
}

func digestOfMessage(p *paho.Publish) [32]byte {
	return sha256.Sum256(append(append([]byte(p.Topic), 0), p.Payload...))
}

// errOld says that a message waited with the broker for somebody to listen and
// does not say when it was measured.
var errOld = errors.New("it was kept by the broker and does not say when it was measured")

// Read reads a message by the topics it matches.
func (l *Listener) Read(topic string, payload []byte, retained bool) ([]care.Reading, error) {
	var all []care.Reading
	var problems []error
	for i := range l.Broker.Topics {
		t := &l.Broker.Topics[i]
		if !t.Matches(topic) {
			continue
		}
		list, timed, err := t.Read(topic, payload, Arrival{Now: l.Now(), LightFrom: l.LightFrom(t.Space)})
		if err == nil && retained && !timed {
			err = errOld
		}
		if err != nil {
			problems = append(problems, err)
			continue
		}
		all = append(all, list...)
	}
	return all, errors.Join(problems...)
}
