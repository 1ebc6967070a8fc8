package plane

// gradient is [problem.residual] with j in units of sigma, to the last bit but without what is
// not asked for: half of the fit's time goes by here.
func (v *view) gradient(o *obs, sigma float64, j *[nParams]float64) (float64, bool) {
	dx, dy, dz := o.x+o.gx*v.gain-v.pivot[0], o.y+o.gy*v.gain-v.pivot[1], o.z-v.pivot[2]
	r := &v.r
	rx := r[0][0]*dx + r[0][1]*dy + r[0][2]*dz
	ry := r[1][0]*dx + r[1][1]*dy + r[1][2]*dz
	rz := r[2][0]*dx + r[2][1]*dy + r[2][2]*dz
	X, Y, Z := rx+v.t[0], ry+v.t[1], rz+v.t[2]
	if !(Z > 1e-6) {
		return 0, false
	}
	a, b := X/Z, Y/Z
	q := a*a + b*b
	g := 1 + v.k1*q
	pu, pv := v.cx+v.f*g*a, v.cy+v.f*g*b
	k2 := 2 * v.k1
	uaa, uab, vbb := v.f*(g+k2*a*a), v.f*k2*a*b, v.f*(g+k2*b*b)
	iz := 1 / Z
	cu0, cu1, cu2 := uaa*iz, uab*iz, -(uaa*a+uab*b)*iz
	cv0, cv1, cv2 := uab*iz, vbb*iz, -(uab*a+vbb*b)*iz
	nu, nv := o.nu, o.nv
	wu0, wu1, wu2 := ry*cu2-rz*cu1, rz*cu0-rx*cu2, rx*cu1-ry*cu0
	wv0, wv1, wv2 := ry*cv2-rz*cv1, rz*cv0-rx*cv2, rx*cv1-ry*cv0
	l := &v.jl
	j[pRot] = (nu*(wu0*l[0][0]+wu1*l[1][0]+wu2*l[2][0]) + nv*(wv0*l[0][0]+wv1*l[1][0]+wv2*l[2][0])) / sigma
	j[pRot+1] = (nu*(wu0*l[0][1]+wu1*l[1][1]+wu2*l[2][1]) + nv*(wv0*l[0][1]+wv1*l[1][1]+wv2*l[2][1])) / sigma
	j[pRot+2] = (nu*(wu0*l[0][2]+wu1*l[1][2]+wu2*l[2][2]) + nv*(wv0*l[0][2]+wv1*l[1][2]+wv2*l[2][2])) / sigma
	j[pPos], j[pPos+1], j[pPos+2] = (nu*cu0+nv*cv0)/sigma, (nu*cu1+nv*cv1)/sigma, (nu*cu2+nv*cv2)/sigma
	j[pLogF] = (nu*(v.f*g*a) + nv*(v.f*g*b)) / sigma
	j[pCx], j[pCy] = nu/sigma, nv/sigma
	j[pK1] = (nu*(v.f*q*a) + nv*(v.f*q*b)) / sigma
	du0, du1 := cu0*r[0][0]+cu1*r[1][0]+cu2*r[2][0], cu0*r[0][1]+cu1*r[1][1]+cu2*r[2][1]
	dv0, dv1 := cv0*r[0][0]+cv1*r[1][0]+cv2*r[2][0], cv0*r[0][1]+cv1*r[1][1]+cv2*r[2][1]
	j[pGain] = ((nu*du0+nv*dv0)*o.gx + (nu*du1+nv*dv1)*o.gy) / sigma
	return nu*(pu-o.u) + nv*(pv-o.v), true
}
