package web

import (
	"net/http"
)

func certificateRoutes(on *router) {
	on.get("/certificate", (*Server).showCertificate, anyone)
	on.get("/certificate/velamen.crt", (*Server).sendCertificate, anyone)
}

// certificateView tells how a phone comes to trust this machine.
type certificateView struct {
	frame
	Made        bool // there is a certificate to offer
	Fingerprint string
}

func (s *Server) showCertificate(w http.ResponseWriter, r *http.Request) error {
	v := &certificateView{Made: len(s.Authority) > 0}
	v.Title = "Certificate"
	if v.Made {
		var err error
		if v.Fingerprint, err = fingerprintOf(s.Authority); err != nil {
			return err
		}
	}
	return s.render(w, r, http.StatusOK, "certificate.html", v)
}

func (s *Server) sendCertificate(w http.ResponseWriter, r *http.Request) error {
	if len(s.Authority) == 0 {
		return notThere(r)
	}
	w.Header().Set("Content-Type", "application/x-x509-ca-cert")
	w.Header().Set("Content-Disposition", `attachment; filename="velamen.crt"`)
	_, err := w.Write(s.Authority)
	return err
}
