//! A serial line.

use std::io;
use std::time::Duration;

use serial2::{CharSize, FlowControl, Parity as Bit, SerialPort, Settings, StopBits};

use super::PortLink;
use crate::scale::{Parity, Setup};

/// Timeout for sending a text.
const LEAVE: Duration = Duration::from_secs(2);

/// An open serial line.
pub(super) struct SerialLine {
    port: SerialPort,
}

impl SerialLine {
    pub fn open(setup: &Setup) -> io::Result<SerialLine> {
        let frame = setup.frame;
        let configure = |mut settings: Settings| {
            settings.set_raw();
            settings.set_baud_rate(setup.speed)?;
            settings.set_char_size(if frame.bits == 7 { CharSize::Bits7 } else { CharSize::Bits8 });
            settings.set_parity(match frame.parity {
                Parity::None => Bit::None,
                Parity::Even => Bit::Even,
                Parity::Odd => Bit::Odd,
            });
            settings.set_stop_bits(if frame.stops == 2 { StopBits::Two } else { StopBits::One });
            settings.set_flow_control(FlowControl::None);
            Ok(settings)
        };
        let mut port = SerialPort::open(&setup.port, configure)?;
        port.set_write_timeout(LEAVE)?;
        // What arrived before the request is not this weight.
        port.discard_input_buffer()?;
        Ok(SerialLine { port })
    }
}

impl PortLink for SerialLine {
    fn receive(&mut self, most: usize, wait: Duration) -> io::Result<Vec<u8>> {
        self.port.set_read_timeout(wait)?;
        let mut bytes = vec![0; most];
        match self.port.read(&mut bytes) {
            Ok(0) => Err(io::ErrorKind::UnexpectedEof.into()),
            Ok(count) => {
                bytes.truncate(count);
                Ok(bytes)
            }
            Err(error) if matches!(error.kind(), io::ErrorKind::TimedOut | io::ErrorKind::Interrupted) => {
                Ok(Vec::new())
            }
            Err(error) => Err(error),
        }
    }

    fn send(&mut self, text: &str) -> io::Result<()> {
        self.port.write_all(text.as_bytes())
    }
}
