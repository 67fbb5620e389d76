//! What reaches the port cannot take the server along: idle connections, stalled bodies, other names, hostile pictures.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::time::{Duration, Instant};

use testkit::Server;

use crate::serve::get;
use crate::{program, run_in};

const JOB: &str = "grey-hatch";

fn workshop(folder: &Path) -> Server {
    let data = folder.join("w.db");
    let words = ["job", "open", "--sheet", "keld-o6", "--vehicle", "Grey hatch", "--id", JOB];
    assert_eq!(run_in(&data, &words, b"").code, 0);
    let mut command = program(&data);
    command.args(["serve", "--listen", "127.0.0.1:0"]);
    Server::start_command(command).unwrap()
}

/// Most memory that the server itself has taken so far, MiB: VmHWM, proc(5).
#[cfg(target_os = "linux")]
fn most_taken(server: &Server) -> u64 {
    let status = std::fs::read_to_string(format!("/proc/{}/status", server.pid())).unwrap();
    let line = status.lines().find(|line| line.starts_with("VmHWM:")).unwrap();
    line.split_whitespace().nth(1).unwrap().parse::<u64>().unwrap() / 1024
}

fn sent(server: &Server, request: &[u8]) -> TcpStream {
    let mut stream = TcpStream::connect(server.host_port()).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
    // A server that has heard enough may close before all is sent.
    let _ = stream.write_all(request);
    stream
}

fn answer(mut stream: TcpStream) -> String {
    let mut all = Vec::new();
    let _ = stream.read_to_end(&mut all);
    String::from_utf8_lossy(&all).into_owned()
}

/// 1,100 visitors that connect and say nothing, or half a request: the next one is served.
#[test]
fn fault_idle_connections_lock_nobody_out() {
    let folder = tempfile::tempdir().unwrap();
    let server = workshop(folder.path());
    for half in [&b""[..], b"GET / HTTP/1.1\r\nHost: localhost\r\nX-More: "] {
        let mut idle = Vec::new();
        for _ in 0..1100 {
            // This side may run out of descriptors first; then as many as it has.
            let Ok(mut stream) = TcpStream::connect(server.host_port()) else { break };
            let _ = stream.write_all(half);
            idle.push(stream);
            if idle.len() >= 900 {
                // Keep this side under its own usual limit; dropped ones free their places by themselves.
                idle.drain(..1);
            }
        }
        assert!(idle.len() > 500, "{}", idle.len());
        let page = get(&server, "/");
        assert!(page.starts_with("HTTP/1.1 200"), "{page}");
    }
}

#[test]
fn fault_other_names_are_not_served() {
    let folder = tempfile::tempdir().unwrap();
    let server = workshop(folder.path());
    for (host, code) in
        [("evil.example", "421"), ("127.0.0.1.evil.example:80", "421"), ("localhost:9", "200"), ("[::1]:9", "200")]
    {
        let request = format!("GET / HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n");
        let said = answer(sent(&server, request.as_bytes()));
        assert!(said.starts_with(&format!("HTTP/1.1 {code}")), "{host}: {said}");
    }
    let absolute = "GET http://evil.example/ HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n";
    assert!(answer(sent(&server, absolute.as_bytes())).starts_with("HTTP/1.1 421"));
    let other = "POST /job/grey-hatch/log HTTP/1.1\r\nHost: evil.example\r\nOrigin: http://evil.example\r\nConnection: close\r\nContent-Length: 0\r\n\r\n";
    assert!(answer(sent(&server, other.as_bytes())).starts_with("HTTP/1.1 421"));
    // Looking at a print keeps none.
    assert!(get(&server, &format!("/job/{JOB}/proof.pdf")).starts_with("HTTP/1.1 200"));
}

/// What a form brings that cannot be kept is said in words and is nobody's failure.
#[test]
fn fault_texts_that_cannot_be_kept_are_refused_in_words() {
    let folder = tempfile::tempdir().unwrap();
    let server = workshop(folder.path());
    let long = "x".repeat(3_000);
    for (body, says) in [
        ("do=note&text=a&by=%1b%5b2J".to_owned(), "U+001B"),
        (format!("do=note&text={long}&by=T"), "2000 are kept"),
        ("do=note&text=%00&by=T".to_owned(), "U+0000"),
    ] {
        let said = crate::serve::post(&server, &format!("/job/{JOB}/log"), &body);
        assert!(said.starts_with("HTTP/1.1 422") && said.contains(says), "{says}: {said}");
    }
    let much = format!("do=note&text={}&by=T", "x".repeat(1_100_000));
    let said = crate::serve::post(&server, &format!("/job/{JOB}/log"), &much);
    assert!(said.starts_with("HTTP/1.1 413") && said.contains("<html") && said.contains("too much at once"), "{said}");
    let opened = run_in(&folder.path().join("w.db"), &["job", "open", "--sheet", "keld-o6", "--vehicle", &long], b"");
    assert!(opened.code == 2 && opened.err.contains("120 are kept"), "{}", opened.err);
}

fn png_claiming(width: u32, height: u32, depth: u8, color: u8) -> Vec<u8> {
    fn chunk(out: &mut Vec<u8>, kind: &[u8; 4], data: &[u8]) {
        out.extend(u32::try_from(data.len()).unwrap().to_be_bytes());
        let mut body = kind.to_vec();
        body.extend(data);
        let crc = body.iter().fold(!0_u32, |crc, byte| {
            (0..8).fold(crc ^ u32::from(*byte), |crc, _| if crc & 1 == 1 { (crc >> 1) ^ 0xEDB8_8320 } else { crc >> 1 })
        });
        out.extend(body);
        out.extend((!crc).to_be_bytes());
    }
    let mut png = b"\x89PNG\r\n\x1a\n".to_vec();
    let header = [&width.to_be_bytes()[..], &height.to_be_bytes(), &[depth, color, 0, 0, 0]].concat();
    chunk(&mut png, b"IHDR", &header);
    chunk(&mut png, b"IDAT", &[0x78, 0x9c, 0x63, 0x00, 0x00, 0x00, 0x01, 0x00, 0x01]);
    chunk(&mut png, b"IEND", &[]);
    png
}

fn form(file: &[u8]) -> (String, Vec<u8>) {
    let edge = "edge-of-a-part";
    let mut body = format!(
        "--{edge}\r\nContent-Disposition: form-data; name=\"of\"\r\n\r\nold-fluid\r\n--{edge}\r\n\
         Content-Disposition: form-data; name=\"photo\"; filename=\"p\"\r\nContent-Type: image/png\r\n\r\n"
    )
    .into_bytes();
    body.extend(file);
    body.extend(format!("\r\n--{edge}--\r\n").into_bytes());
    (format!("multipart/form-data; boundary={edge}"), body)
}

fn upload(server: &Server, file: &[u8], all: bool) -> TcpStream {
    let (kind, body) = form(file);
    let host = server.host_port();
    let mut request = format!(
        "POST /job/{JOB}/photo HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nConnection: close\r\n\
         Content-Type: {kind}\r\nContent-Length: {}\r\n\r\n",
        body.len()
    )
    .into_bytes();
    request.extend(if all { &body[..] } else { &body[..body.len() - 1] });
    sent(server, &request)
}

/// A real picture of that many pixels, made by the library that also reads it.
fn picture(width: u32, height: u32) -> Vec<u8> {
    let image = image::GrayImage::from_fn(width, height, |x, y| image::Luma([((x ^ y) & 0xff) as u8]));
    let mut file = std::io::Cursor::new(Vec::new());
    image.write_to(&mut file, image::ImageFormat::Jpeg).unwrap();
    file.into_inner()
}

/// Pictures that claim or are more than any memory, and uploads that stall: the server itself stays small and answers others.
#[test]
fn fault_hostile_pictures_leave_the_server_small() {
    let folder = tempfile::tempdir().unwrap();
    let server = workshop(folder.path());
    let refused = [
        ("16 bits a colour", png_claiming(10_900, 11_000, 16, 2)),
        ("the largest there is", png_claiming(0x7fff_ffff, 0x7fff_ffff, 16, 6)),
        ("a strip", png_claiming(2_000_000, 1, 8, 2)),
        ("60 megapixels of 16 bits", png_claiming(7_700, 7_700, 16, 6)),
        ("nothing", Vec::new()),
        ("no picture", vec![0xFF; 100_000]),
        ("half a picture", picture(2_000, 1_500)[..90_000].to_vec()),
        ("a picture that lies about its size", {
            let mut file = picture(640, 480);
            // ITU-T T.81, B.2.2: height and width stand 5 bytes behind the start-of-frame marker.
            let at = file.windows(2).position(|two| two == [0xFF, 0xC0]).unwrap() + 5;
            file[at..at + 4].copy_from_slice(&[0x3f, 0xff, 0x3f, 0xff]);
            file
        }),
    ];
    for (what, file) in &refused {
        let said = answer(upload(&server, file, true));
        assert!(said.starts_with("HTTP/1.1 422"), "{what}: {}", said.lines().next().unwrap_or_default());
    }
    let kept = answer(upload(&server, &picture(6_000, 5_000), true));
    assert!(kept.starts_with("HTTP/1.1 303"), "{}", kept.lines().next().unwrap_or_default());
    // Forty uploads of 20 MB that stop short of the last byte, and meanwhile somebody works.
    let large = vec![0x55; 20 << 20];
    let stalled: Vec<TcpStream> = (0..40)
        .map(|_| {
            let (kind, body) = form(&large);
            let host = server.host_port();
            let head = format!(
                "POST /job/{JOB}/photo HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Type: {kind}\r\n\
                 Content-Length: {}\r\n\r\n",
                body.len()
            );
            let mut stream = TcpStream::connect(server.host_port()).unwrap();
            stream.set_write_timeout(Some(Duration::from_millis(300))).unwrap();
            // What the server does not take yet stays here.
            let _ = stream.write_all(head.as_bytes()).and_then(|()| stream.write_all(&body[..body.len() - 1]));
            stream
        })
        .collect();
    let since = Instant::now();
    let page = get(&server, &format!("/job/{JOB}"));
    assert!(page.starts_with("HTTP/1.1 200"), "{page}");
    println!("answered in {:?} beside {} stalled uploads", since.elapsed(), stalled.len());
    #[cfg(target_os = "linux")]
    {
        let most = most_taken(&server);
        println!("the server itself took {most} MiB at most");
        assert!(most < 150, "{most} MiB");
    }
}
