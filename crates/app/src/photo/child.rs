//! Foreign files are read in a process of our own that may not take more than its share: what they do there ends there.

use std::io::{Read, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use super::picture::{LARGEST_KEPT, Picture};
use crate::error::AppError;

/// The word by which the program knows that it is to read a picture and nothing else.
pub const PICTURE_CHILD: &str = "read-a-picture-from-stdin";
/// A picture that is not read by then is none.
const PATIENCE: Duration = Duration::from_secs(30);
/// Between two looks whether it is done.
const LOOK: Duration = Duration::from_millis(10);
/// Most bytes of an answer: the picture and its size, or a sentence.
const LARGEST_ANSWER: u64 = LARGEST_KEPT as u64 + 4096;

/// The answer of the child: a line `picture W H`, then the JPEG; or a line `wrong`, then what and what to do.
pub fn reply(read: &Result<Picture, AppError>) -> Vec<u8> {
    match read {
        Ok(picture) => {
            let mut answer = format!("picture {} {}\n", picture.width, picture.height).into_bytes();
            answer.extend_from_slice(&picture.jpeg);
            answer
        }
        Err(why) => format!("wrong\n{why}\n{}\n", why.hint()).into_bytes(),
    }
}

/// Reads a picture in a child of the program given.
pub(super) fn picture_by(program: &Path, file: &[u8]) -> Result<Picture, AppError> {
    let failed = |what: &str| AppError::Input {
        what: what.to_owned(),
        hint: "Take it with the camera's usual setting, and send it again.".to_owned(),
    };
    let mut child = Command::new(program)
        .arg(PICTURE_CHILD)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .map_err(|_| failed("the photo cannot be read now: the system gives no process"))?;
    let (stdin, stdout) = (child.stdin.take(), child.stdout.take());
    let answer = std::thread::scope(|scope| {
        scope.spawn(move || {
            // A child that ended early does not want the rest.
            let _ = stdin.map(|mut stdin| stdin.write_all(file));
        });
        let heard = scope.spawn(move || {
            let mut answer = Vec::new();
            let read = stdout.map(|stdout| stdout.take(LARGEST_ANSWER).read_to_end(&mut answer));
            read.and_then(Result::ok).map(|_| answer)
        });
        let start = Instant::now();
        let done = loop {
            match child.try_wait() {
                Ok(Some(status)) => break status.success(),
                Ok(None) if start.elapsed() < PATIENCE => std::thread::sleep(LOOK),
                _ => {
                    let _ = child.kill();
                    let _ = child.wait();
                    break false;
                }
            }
        };
        let answer = heard.join().ok().flatten();
        answer.filter(|_| done)
    });
    answer
        .and_then(|answer| understood(&answer))
        .unwrap_or_else(|| Err(failed("the photo is too large or too tangled to be read")))
}

fn understood(answer: &[u8]) -> Option<Result<Picture, AppError>> {
    let end = answer.iter().position(|byte| *byte == b'\n')?;
    let (line, rest) = (std::str::from_utf8(&answer[..end]).ok()?, &answer[end + 1..]);
    if line == "wrong" {
        let (what, hint) = std::str::from_utf8(rest).ok()?.trim_end().split_once('\n')?;
        return Some(Err(AppError::Input { what: what.to_owned(), hint: hint.to_owned() }));
    }
    let mut words = line.strip_prefix("picture ")?.split(' ').map(|word| word.parse::<u32>().ok());
    let (width, height) = (words.next()??, words.next()??);
    let whole = rest.len() <= LARGEST_KEPT && rest.starts_with(&[0xFF, 0xD8]);
    whole.then(|| Ok(Picture { jpeg: rest.to_vec(), width, height }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn law_an_answer_is_understood_as_it_was_meant() {
        let picture = Picture { jpeg: vec![0xFF, 0xD8, 10, 0], width: 4, height: 3 };
        assert_eq!(understood(&reply(&Ok(picture.clone()))).unwrap().unwrap(), picture);
        let wrong = AppError::Input { what: "no photo".to_owned(), hint: "Take one.".to_owned() };
        let back = understood(&reply(&Err(wrong))).unwrap().unwrap_err();
        assert_eq!((back.to_string(), back.hint()), ("no photo".to_owned(), "Take one.".to_owned()));
        for nonsense in
            [&b""[..], b"picture 4 3", b"picture 4\n\xFF\xD8", b"picture 4 3\nGIF", b"wrong\n", b"x\ny\nz\n"]
        {
            assert!(understood(nonsense).is_none(), "{nonsense:?}");
        }
    }

    #[test]
    fn fault_a_child_that_fails_is_a_photo_that_cannot_be_read() {
        for program in ["/bin/false", "/bin/true", "/does/not/exist"] {
            assert!(picture_by(Path::new(program), b"x").unwrap_err().is_input(), "{program}");
        }
    }
}
