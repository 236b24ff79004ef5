"""The network that finds the eye: an EfficientNet-Lite0 encoder with a small decoder, in PyTorch.

Encoder after Tan & Le, "EfficientNet: Rethinking Model Scaling for Convolutional Neural Networks", ICML 2019, in
its Lite0 form (no squeeze-and-excitation, ReLU6), started from ImageNet weights (Apache 2.0). Decoder: U-shaped,
after Ronneberger et al., "U-Net", MICCAI 2015, with depthwise separable convolutions so that it runs fast on a CPU.
"""

from __future__ import annotations

from typing import Any

from torch import Tensor, nn
from torch.nn import functional as F

CLASSES = ("background", "eye", "muscle", "fat", "bone", "card", "hand")
VERDICTS = ("readable", "no rib face", "two faces", "eye cut off")
# expansion, kernel, stride, channels, repeats of the Lite0 stages that are used (the last, 320 wide, is not).
STAGES = (
    (1, 3, 1, 16, 1),
    (6, 3, 2, 24, 2),
    (6, 5, 2, 40, 2),
    (6, 3, 2, 80, 3),
    (6, 5, 1, 112, 3),
    (6, 5, 2, 192, 4),
)
STEM = 32
TAPS = (0, 2, 4, 10)  # last block at strides 2, 4, 8 and 16
BN_EPS = 1e-3


class Same(nn.Module):
    """Padding as the ImageNet weights were trained with: for stride 2 on even sizes one more at the far edges."""

    def __init__(self, kernel: int, stride: int) -> None:
        super().__init__()
        near = (kernel - stride) // 2
        self.pad = nn.ZeroPad2d((near, kernel - stride - near, near, kernel - stride - near))

    def forward(self, x: Tensor) -> Tensor:
        return self.pad(x)  # type: ignore[no-any-return]


class Block(nn.Module):
    """Inverted residual block; attribute names follow the published weights."""

    def __init__(self, wide: int, expand: int, kernel: int, stride: int, out: int) -> None:
        super().__init__()
        inner = wide * expand
        self.expands = expand != 1
        if self.expands:
            self._expand_conv = nn.Conv2d(wide, inner, 1, bias=False)
            self._bn0 = nn.BatchNorm2d(inner, eps=BN_EPS, momentum=0.01)
        self.same = Same(kernel, stride)
        self._depthwise_conv = nn.Conv2d(inner, inner, kernel, stride, groups=inner, bias=False)
        self._bn1 = nn.BatchNorm2d(inner, eps=BN_EPS, momentum=0.01)
        self._project_conv = nn.Conv2d(inner, out, 1, bias=False)
        self._bn2 = nn.BatchNorm2d(out, eps=BN_EPS, momentum=0.01)
        self.skips = stride == 1 and wide == out

    def silent(self) -> Block:
        """The block itself, begun as if it were not there: it passes on what it is given until it has learnt."""
        nn.init.zeros_(self._bn2.weight)
        return self

    def forward(self, x: Tensor) -> Tensor:
        y = F.relu6(self._bn0(self._expand_conv(x))) if self.expands else x
        y = F.relu6(self._bn1(self._depthwise_conv(self.same(y))))
        y = self._bn2(self._project_conv(y))
        return x + y if self.skips else y


class Up(nn.Module):
    """Twice the size, joined with the encoder's features there, then a depthwise separable mix.

    The first mix is one convolution over both, done apart: over the coarse features before they are enlarged, which
    comes to the same and costs a quarter.
    """

    def __init__(self, wide: int, skip: int, out: int) -> None:
        super().__init__()
        self.coarse = nn.Conv2d(wide, out, 1, bias=False)
        self.fine = nn.Conv2d(skip, out, 1, bias=False)
        self.mix = nn.Sequential(
            nn.BatchNorm2d(out), nn.ReLU(inplace=True),
            nn.Conv2d(out, out, 3, padding=1, groups=out, bias=False), nn.BatchNorm2d(out),
            nn.Conv2d(out, out, 1, bias=False), nn.BatchNorm2d(out), nn.ReLU(inplace=True),
            nn.Conv2d(out, out, 3, padding=1, groups=out, bias=False), nn.BatchNorm2d(out), nn.ReLU(inplace=True),
        )  # fmt: skip

    def forward(self, x: Tensor, skip: Tensor) -> Tensor:
        x = F.interpolate(self.coarse(x), scale_factor=2.0, mode="bilinear", align_corners=False)
        return self.mix(x + self.fine(skip))  # type: ignore[no-any-return]


class EyeNet(nn.Module):
    """Picture (n, 3, h, w), RGB 0 to 1, h and w multiples of 32, to three outputs.

    `maps` (n, 10, h/2, w/2): class logits, then for each pixel of the eye where it lies: along (0 at the chine
    end, 1 at the far end) and the unit direction towards the outside (x, y). `verdict` (n, 4): logits of what
    the picture is.
    """

    def __init__(self) -> None:
        super().__init__()
        self.same = Same(3, 2)
        self._conv_stem = nn.Conv2d(3, STEM, 3, 2, bias=False)
        self._bn0 = nn.BatchNorm2d(STEM, eps=BN_EPS, momentum=0.01)
        blocks: list[nn.Module] = []
        wide = STEM
        for expand, kernel, stride, out, repeats in STAGES:
            for number in range(repeats):
                blocks.append(Block(wide, expand, kernel, stride if number == 0 else 1, out))
                wide = out
        self._blocks = nn.ModuleList(blocks)
        # More of what lies round a place, where the picture is coarse and it costs little: which muscle is which.
        self.round32 = Block(192, 4, 5, 1, 192).silent()
        self.up16 = Up(192, 112, 112)
        self.round16 = Block(112, 4, 5, 1, 112).silent()
        self.up8 = Up(112, 40, 64)
        self.up4 = Up(64, 24, 48)
        self.up2 = Up(48, 16, 40)
        self.head = nn.Conv2d(40, len(CLASSES) + 3, 1)
        self.judge = nn.Sequential(nn.Linear(192, 64), nn.ReLU(inplace=True), nn.Linear(64, len(VERDICTS)))

    def forward(self, picture: Tensor) -> tuple[Tensor, Tensor]:
        x = (picture * 255.0 - 127.0) / 128.0
        x = F.relu6(self._bn0(self._conv_stem(self.same(x))))
        taps: list[Tensor] = []
        for number, block in enumerate(self._blocks):
            x = block(x)
            if number in TAPS:
                taps.append(x)
        x = self.round32(x)
        verdict = self.judge(x.mean(dim=(2, 3)))
        y = self.round16(self.up16(x, taps[3]))
        y = self.up8(y, taps[2])
        y = self.up4(y, taps[1])
        y = self.up2(y, taps[0])
        return self.head(y), verdict

    def load_imagenet(self, weights: dict[str, Any]) -> int:
        """Take over the encoder's ImageNet weights; returns how many tensors fitted (all of the encoder's)."""
        own = self.state_dict()
        fitting = {name: tensor for name, tensor in weights.items()
                   if name in own and own[name].shape == tensor.shape}  # fmt: skip
        wanted = [name for name in own if name.startswith(("_conv_stem", "_bn0", "_blocks"))]
        missing = [name for name in wanted if name not in fitting]
        if missing:
            raise ValueError(f"the ImageNet weights lack {missing[:3]} and {len(missing)} in all")
        self.load_state_dict({**own, **fitting})
        return len(wanted)
