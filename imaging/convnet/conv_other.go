//go:build !amd64 && !js

package convnet

func (c *convolution) atOnce() bool { return false }

func (p *rowPair) correlate() { p.correlateGo() }
