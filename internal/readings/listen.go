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
	"time"

	"github.com/eclipse/paho.golang/autopaho"
	"github.com/eclipse/paho.golang/paho"

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

// How the broker keeps what comes while nobody listens, how long one try to
// reach it may take, and how many messages may wait here.
const (
	sessionSeconds = 7 * 24 * 3600
	connectTime    = 10 * time.Second
	mostWaitingFor = 256
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
	messages := make(chan received, mostWaitingFor)
	config.ClientConfig = paho.ClientConfig{
		ClientID: l.Broker.Session, EnableManualAcknowledgment: true, SendAcksInterval: 50 * time.Millisecond,
		OnPublishReceived: []func(paho.PublishReceived) (bool, error){func(p paho.PublishReceived) (bool, error) {
			select {
			case messages <- received{p.Client, p.Packet}:
			case <-ctx.Done():
			}
			return true, nil
		}},
	}
	m, err := autopaho.NewConnection(ctx, config)
	if err != nil {
		return fmt.Errorf("preparing the connection to the broker: %w", err)
	}
	for {
		select {
		case one := <-messages:
			l.take(ctx, one)
		case <-ctx.Done():
			<-m.Done()
			return nil
		}
	}
}

// received is a message and the connection it came over.
type received struct {
	over   *paho.Client
	packet *paho.Publish
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

// take keeps one message and acknowledges it. While it cannot be kept it is
// tried again: the broker holds back what comes after it.
func (l *Listener) take(ctx context.Context, one received) {
	list, err := l.Read(one.packet.Topic, one.packet.Payload, one.packet.Retain)
	if err != nil {
		l.Logger.Warn("a message of the broker is left out", "topic", one.packet.Topic, "error", err)
	}
	d := care.Delivery{Client: l.Broker.Session, Packet: one.packet.PacketID, Again: one.packet.Duplicate(), Digest: digestOfMessage(one.packet)}
	for len(list) > 0 {
		_, _, err := l.Into.KeepDelivered(ctx, d, list)
		if err == nil {
			if l.Kept != nil {
				l.Kept()
			}
			break
		}
		if ctx.Err() != nil {
			return // not acknowledged: it comes again
		}
		l.Logger.Error("readings of the broker cannot be kept; trying again", "error", err)
		select {
		case <-time.After(retryKeep):
		case <-ctx.Done():
			return
		}
	}
	// Over a connection that has ended meanwhile nothing can be acknowledged; the
	// message comes again over the next and is known then.
	if err := one.over.Ack(one.packet); err != nil {
		l.Logger.Debug("an acknowledgement was not sent", "error", err)
	}
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
