// Shared stores of other people's making, and a proxy before them that can fail.
import { createHash } from 'node:crypto';
import { spawn } from 'node:child_process';
import { chmod, mkdir, mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { createServer, request } from 'node:http';
import { connect, createServer as listener } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

export const USER = 'keeper';
export const PASSWORD = 'grey kettle';

async function freePort() {
  const server = listener();
  await new Promise((done) => server.listen(0, '127.0.0.1', done));
  const { port } = server.address();
  await new Promise((done) => server.close(done));
  return port;
}

async function listens(port, child, name) {
  for (let tries = 0; tries < 600; tries++) {
    if (child.exitCode !== null) throw new Error(`${name} ended with ${child.exitCode}: cargo xtask test browser fetches it`);
    const there = await new Promise((done) => {
      const socket = connect(port, '127.0.0.1', () => { socket.destroy(); done(true); });
      socket.on('error', () => done(false));
    });
    if (there) return;
    await new Promise((done) => setTimeout(done, 50));
  }
  throw new Error(`${name} does not listen`);
}

/** The server's settings; `origin` is let in, as the app's own page of settings says it. */
function settings(dir, port, origin) {
  const modules = ['mpm_event', 'authn_core', 'authn_file', 'auth_basic', 'authz_core', 'authz_user', 'dav', 'dav_fs', 'headers']
    .map((name) => `LoadModule ${name}_module /usr/lib/apache2/modules/mod_${name}.so`).join('\n');
  const cors = origin === null ? '' : `
Header always set Access-Control-Allow-Origin "${origin}"
Header always set Access-Control-Allow-Methods "GET, PUT, DELETE, PROPFIND, MKCOL, OPTIONS"
Header always set Access-Control-Allow-Headers "Authorization, Content-Type, Depth"`;
  return `${modules}
ServerRoot ${dir}
ServerName 127.0.0.1
Listen 127.0.0.1:${port}
PidFile ${dir}/pid
ErrorLog ${dir}/errors
User www-data
Group www-data
DocumentRoot ${dir}/www
DavLockDB ${dir}/lock/db
<Directory ${dir}/www>
Require all denied
</Directory>
<Directory ${dir}/www/dav>
Dav On
AuthType Basic
AuthName barn
AuthUserFile ${dir}/users${cors}
<LimitExcept OPTIONS>
Require valid-user
</LimitExcept>
</Directory>
`;
}

const COUNTED = new Set(['PUT', 'GET', 'DELETE', 'PROPFIND', 'MKCOL']);

/**
 * A proxy before a server on this machine. `fails` may be set to `gone` (no answer), a status, or null; `after` to a number of requests
 * after which `fails` becomes `gone`. `asked` are the requests, `bytes` what they and their answers weighed.
 */
async function proxied(inner, origin) {
  const own = { fails: null, after: null, asked: [], bytes: 0 };
  const proxy = createServer((asked, answer) => {
    const { method, url, headers } = asked;
    if (COUNTED.has(method)) {
      own.asked.push(`${method} ${url.split('?')[0]}`);
      if (own.after !== null && own.after-- === 0) [own.fails, own.after] = ['gone', null];
    }
    if (own.fails === 'gone') return asked.socket.destroy();
    if (own.fails !== null && method !== 'OPTIONS') {
      asked.resume();
      answer.writeHead(own.fails, { 'Access-Control-Allow-Origin': origin });
      return answer.end();
    }
    const on = request({ host: '127.0.0.1', port: inner, method, path: url, headers }, (heard) => {
      answer.writeHead(heard.statusCode, heard.headers);
      heard.on('data', (part) => { own.bytes += part.length; });
      heard.pipe(answer);
    });
    on.on('error', () => answer.destroy());
    asked.on('data', (part) => { own.bytes += part.length; });
    asked.pipe(on);
  });
  await new Promise((done) => proxy.listen(0, '127.0.0.1', done));
  own.origin = `http://localhost:${proxy.address().port}`;
  own.close = async () => {
    proxy.closeAllConnections();
    await new Promise((done) => proxy.close(done));
  };
  return own;
}

/** An object store that speaks S3's protocol (PyPI's moto), with one bucket called `barn`, which pages of any origin may ask. */
export async function bucket() {
  const inner = await freePort();
  const code = 'import sys; from moto.server import main; main()';
  const moto = spawn(process.env.CANDLEMARK_PYTHON ?? 'python3', ['-c', code, '-H', '127.0.0.1', '-p', String(inner)], { stdio: 'ignore' });
  await listens(inner, moto, 'moto');
  const made = await fetch(`http://127.0.0.1:${inner}/barn`, { method: 'PUT' });
  if (!made.ok) throw new Error(`no bucket: ${made.status}`);
  const own = await proxied(inner, '*');
  return Object.assign(own, {
    address: own.origin,
    async stop() {
      await own.close();
      moto.kill();
    },
  });
}

/** Every file below a folder. */
async function files(dir) {
  const entries = await readdir(dir, { recursive: true, withFileTypes: true });
  return entries.filter((entry) => entry.isFile()).map((entry) => join(entry.parentPath, entry.name));
}

/** A web folder (Debian's apache2 with mod_dav) that pages of `origin` may ask; null: none may. What fails is the proxy before it. */
export async function store(origin) {
  const dir = await mkdtemp(join(tmpdir(), 'candlemark-dav-'));
  for (const part of ['www', 'www/dav', 'lock']) {
    await mkdir(join(dir, part), { recursive: true });
    await chmod(join(dir, part), 0o777);
  }
  await chmod(dir, 0o777);
  // As `htpasswd -s` writes it; read anew with each request.
  const takes = (password) => writeFile(join(dir, 'users'), `${USER}:{SHA}${createHash('sha1').update(password).digest('base64')}\n`);
  await takes(PASSWORD);
  const inner = await freePort();
  await writeFile(join(dir, 'apache.conf'), settings(dir, inner, origin));
  const apache = spawn('/usr/sbin/apache2', ['-f', join(dir, 'apache.conf'), '-DFOREGROUND'], { stdio: 'ignore' });
  await listens(inner, apache, 'apache2');
  const own = await proxied(inner, origin);
  const kept = join(dir, 'www/dav');
  return Object.assign(own, {
    address: `${own.origin}/dav`,
    takes,
    files: () => files(kept),
    async holds() { return Promise.all((await files(kept)).map((file) => readFile(file))); },
    async stop() {
      await own.close();
      apache.kill();
      await rm(dir, { recursive: true, force: true, maxRetries: 5 });
    },
  });
}
