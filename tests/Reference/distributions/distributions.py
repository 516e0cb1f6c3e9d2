"""Values of distribution functions by mpmath with 40 digits; prints distributions.csv."""
from mpmath import *
mp.dps=40
out=[]
for x in ['-37','-8','-1.5','-0.3','0.1','1','2.4','6','20','37']:
    out.append(('normal',0,0,x,erfc(mpf(x)/sqrt(2))/2))
for nu,t in [('0.5','3'),('1','0.001'),('1','1e8'),('3','2.5'),('10','12'),('72.5','1.9'),('1000','5'),('1e6','4')]:
    n=mpf(nu);T=mpf(t); out.append(('t',nu,0,t, betainc(n/2,mpf(1)/2,0,n/(n+T*T),regularized=True)/2))
for a,b,f in [('1','1','100'),('5','12','4.4'),('8','1800','201'),('2.5','0.7','1e4'),('200','300','1.2'),('3','48','0.01')]:
    A=mpf(a);B=mpf(b);F=mpf(f); out.append(('f',a,b,f,betainc(B/2,A/2,0,B/(B+A*F),regularized=True)))
for k,x in [('1','0.001'),('1','3.84'),('3','200'),('0.2','1'),('50','30'),('1000','1200'),('100000','101000')]:
    K=mpf(k);X=mpf(x); out.append(('chi2',k,0,x,gammainc(K/2,X/2,inf,regularized=True)))
for a,b,x in [('0.1','0.2','0.5'),('2','3','1e-5'),('50','0.5','0.9'),('1000','2000','0.3'),('0.001','5','0.2'),('20','20','0.999')]:
    out.append(('beta',a,b,x,betainc(mpf(a),mpf(b),0,mpf(x),regularized=True)))
for a,x in [('0.01','0.02'),('3','1e-4'),('100','60'),('10000','9700'),('0.5','30')]:
    out.append(('gammaLower',a,0,x,gammainc(mpf(a),0,mpf(x),regularized=True)))
for x in ['1e-5','0.5','1.3','3.7','15.9','16.1','1e3','1e9']:
    out.append(('logGamma',0,0,x,loggamma(mpf(x))))
for n,k,p in [(10,3,'0.2'),(1000,10,'0.5'),(50,49,'0.999')]:
    P=mpf(p); out.append(('binomialLower',n,k,p,fsum(binomial(n,j)*P**j*(1-P)**(n-j) for j in range(k+1)) if n<2000 else betainc(n-k,k+1,0,1-P,regularized=True)))
for k,m in [(0,'3'),(5,'12.5'),(200,'150'),(40,'200')]:
    M=mpf(m); out.append(('poissonLower',k,0,m,gammainc(k+1,M,inf,regularized=True)))
print('function,a,b,x,value')
for o in out: print(*o[:4], nstr(o[4], 20), sep=',')
